import { evidenceOn } from "@/lib/statistics/rising-evidence";
import { findRoot } from "@/lib/statistics/root";

/** Limits of a rate ratio; `high` is null where there is no upper limit. */
export type RatioLimits = { readonly low: number; readonly high: number | null };

/**
 * Limits of "rate inside the first window over rate before it", from the very test that `risingEvidence` makes.
 *
 * A ratio lies inside when neither side of the combined test rejects it at half of 1 - level, under one of these
 * shapes of the rate: a step where one of the windows begins, or a log-linear climb over the whole watch. Under a tried ratio the
 * times are stretched by its cumulative rate, after which they are uniform. At ratio 1 all shapes are the null
 * hypothesis, so the lower limit is above 1 exactly where the rising p is below half of 1 - level.
 *
 * @param times - operational times in [0, 1]
 * @param windows - where the windows begin, in (0, 1); at least one, the first is the one the ratio speaks of
 * @param dispersion - as in `risingEvidence`
 * @param level - two-sided coverage, .95 unless told
 * A shape that every size of it is rejected for is left out.
 *
 * @returns low 0 and high null where nothing is ruled out (no event among others)
 * @throws RangeError without a window, or as `risingEvidence`
 * Source: inversion of a test, Casella and Berger (2002), Statistical Inference, ch. 9 (from memory). Cost: about 120
 * calls of the test.
 */
export function risingRatioLimits(
  times: readonly number[],
  { windows, dispersion = 1, level = 0.95 }: { windows: readonly number[]; dispersion?: number; level?: number },
): RatioLimits {
  const [first] = windows;
  if (first === undefined) throw new RangeError("no window to give a ratio for");
  const counts = windows.map((start) => times.filter((time) => time > start).length);
  const tail = (1 - level) / 2;
  const found = [...windows.map(stepAt), climb].map((shape) => {
    const chance = (side: "rising" | "falling", size: number) => {
      const stretch = shape(size);
      const seen = { times: times.map(stretch), windows: windows.map(stretch), counts, dispersion };
      return evidenceOn(side, seen) - tail;
    };
    const ratio = (size: number) => ratioAt(shape(size)(first), first);
    const low = rootOf((size) => chance("rising", size));
    const high = rootOf((size) => chance("falling", size));
    return {
      // No root: the side rejects no size of the shape, or every size of it, which no data of that shape would do.
      low: low === null ? (chance("rising", 0) >= 0 ? 0 : Infinity) : ratio(low),
      high: high === null ? (chance("falling", 0) >= 0 ? Infinity : 0) : ratio(high),
    };
  });
  const fitting = found.filter(({ low, high }) => low < high);
  const kept =
    fitting.length > 0
      ? fitting
      : found.map(({ low, high }) => ({ low: Math.min(low, high), high: Math.max(low, high) }));
  const high = Math.max(...kept.map((one) => one.high));
  return { low: Math.min(...kept.map((one) => one.low)), high: high === Infinity ? null : high };
}

/** Share of the expected events up to a time, for one size of a shape. */
type Stretch = (time: number) => number;

function stepAt(start: number) {
  return (logRatio: number): Stretch => {
    const ratio = Math.exp(logRatio);
    const whole = start + ratio * (1 - start);
    return (time) => Math.min(1, (Math.min(time, start) + ratio * Math.max(0, time - start)) / whole);
  };
}

function climb(slope: number): Stretch {
  if (Math.abs(slope) < 1e-9) return (time) => time;
  // Written for a rise from its far end, so that a steep one keeps the digits of its early times.
  if (slope > 0) {
    const whole = -Math.expm1(-slope);
    return (time) => Math.min(1, Math.max(0, (Math.exp(slope * (time - 1)) - Math.exp(-slope)) / whole));
  }
  return (time) => Math.min(1, Math.expm1(slope * time) / Math.expm1(slope));
}

function ratioAt(share: number, start: number): number {
  return share <= 0 ? Infinity : (((1 - share) / share) * start) / (1 - start);
}

// Both sides of the test are monotone in the size of the rise; the bracket grows until it holds the root.
function rootOf(f: (size: number) => number): number | null {
  const atZero = f(0);
  for (const reach of [2, 6, 14, 30]) {
    for (const side of [reach, -reach]) {
      if (atZero * f(side) <= 0)
        return findRoot(f, { low: Math.min(0, side), high: Math.max(0, side), tolerance: 1e-4 });
    }
  }
  return null;
}
