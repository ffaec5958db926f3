import { cauchyCombination } from "@/lib/statistics/cauchy-combination";
import { binomialCdf, binomialPmf, normalQuantile, normalUpper } from "@/lib/statistics/distributions";
import { uniformSumUpper } from "@/lib/statistics/trend";

/** One-sided chances of a rise and of a fall as strong as seen, each small where the evidence is strong. */
export type RisingEvidence = { readonly rising: number; readonly falling: number };

/**
 * Evidence that events crowd to the end of the watch: Cauchy combination of the exact Laplace test and of the mid-p of
 * some recent windows, in which the trend has one half of the weight and the windows share the other.
 *
 * Null hypothesis: n independent uniform times. Without any window the Laplace test stands alone.
 *
 * @param times - operational times in [0, 1]
 * @param windows - operational times in (0, 1) at which the windows begin, fixed before looking at the events
 * @param dispersion - variance of a trend's z against chance, at least 1: the combined z is divided by its root
 * @returns no event: both 1
 * @throws RangeError for a time outside [0, 1] or a dispersion below 1
 * Source: Liu and Xie (2020), J. Am. Statist. Assoc. 115, 393-402; the weights are our own choice. Cost: O(n²).
 */
export function risingEvidence(
  times: readonly number[],
  { windows, dispersion = 1 }: { windows: readonly number[]; dispersion?: number },
): RisingEvidence {
  const counts = windows.map((start) => times.filter((time) => time > start).length);
  const seen = { times, windows, counts, dispersion };
  return { rising: evidenceOn("rising", seen), falling: evidenceOn("falling", seen) };
}

/**
 * One side of the same, where the number of events in each window is known: a stretch of time must not move one over
 * the border. Errors as there.
 */
export function evidenceOn(
  side: keyof RisingEvidence,
  {
    times,
    windows,
    counts,
    dispersion,
  }: {
    times: readonly number[];
    windows: readonly number[];
    counts: readonly number[];
    dispersion: number;
  },
): number {
  if (!(dispersion >= 1)) throw new RangeError(`dispersion must be at least 1: ${dispersion}`);
  const n = times.length;
  if (n === 0) return 1;
  let sum = 0;
  for (const time of times) {
    if (!(time >= 0 && time <= 1)) throw new RangeError(`operational time outside [0, 1]: ${time}`);
    sum += time;
  }
  const trend = uniformSumUpper(side === "rising" ? sum : n - sum, n);
  const inWindows = windows.map((start, index) => {
    const parameters = { n, p: Math.min(1, Math.max(0, start)) };
    // Counted before the window, where the share of a much risen rate keeps its digits.
    const before = n - (counts[index] ?? 0);
    const most = binomialCdf(before, parameters) - 0.5 * binomialPmf(before, parameters);
    return Math.min(1, Math.max(0, side === "rising" ? most : 1 - most));
  });
  // A trend's share for each window: half of the weight is the trend's however many windows there are.
  const shares = windows.length === 0 ? [trend] : [...inWindows, ...inWindows.map(() => trend)];
  return guarded(cauchyCombination(shares), dispersion);
}

// As a quasi-Poisson model does: events that come in bad spells make every trend look too sure.
function guarded(p: number, dispersion: number): number {
  if (dispersion === 1 || p >= 0.5) return p;
  return normalUpper(-normalQuantile(Math.max(p, 1e-300)) / Math.sqrt(dispersion));
}
