import { medianInPlace } from "@/lib/statistics/order-statistics";

/** Changes of level: the index of the first value of each new segment, and the minimised cost with its penalties. */
export type ChangePoints = { readonly starts: readonly number[]; readonly objective: number };

/** Penalty per change and the fewest values a segment may hold (1 unless told). */
export type ChangeOptions = { readonly penalty: number; readonly minSegment?: number };

/**
 * Best division of a series into stretches of constant level: least within-segment squares plus penalty x changes.
 *
 * Exact dynamic programme. On ties the fewer changes win. A penalty of 3 sigma² ln n is usual, see `differenceSigma`.
 *
 * @param y - values in order of time; too short for two segments: no change
 * @returns no change: starts empty
 * @throws RangeError for a negative penalty, a segment below 1 or values that are not finite
 *
 * Source: Killick, Fearnhead and Eckley (2012), J. Am. Statist. Assoc. 107, 1590-1598 (from memory). Cost: O(n²).
 */
export function changePoints(y: readonly number[], { penalty, minSegment = 1 }: ChangeOptions): ChangePoints {
  checkOptions({ penalty, minSegment });
  const n = y.length;
  if (n === 0) return { starts: [], objective: 0 };
  const cost = segmentCost(y);
  const best = new Float64Array(n + 1).fill(Infinity);
  const lastStart = new Int32Array(n + 1);
  best[0] = -penalty;
  for (let end = 1; end <= n; end++) {
    if (end < minSegment && n >= minSegment) continue;
    let least = (best[0] ?? 0) + penalty + cost(0, end);
    for (let start = minSegment; start <= end - minSegment; start++) {
      const candidate = (best[start] ?? Infinity) + penalty + cost(start, end);
      if (candidate < least) {
        least = candidate;
        lastStart[end] = start;
      }
    }
    best[end] = least;
  }
  const starts: number[] = [];
  for (let start = lastStart[n] ?? 0; start > 0; start = lastStart[start] ?? 0) starts.unshift(start);
  return { starts, objective: best[n] ?? 0 };
}

/**
 * Division by repeated halving: a stretch is cut where it gains most, as long as the gain exceeds the penalty. Faster
 * than `changePoints`, but not always the best division. Arguments, answer and errors as there.
 */
export function binarySegmentation(y: readonly number[], { penalty, minSegment = 1 }: ChangeOptions): ChangePoints {
  checkOptions({ penalty, minSegment });
  const cost = segmentCost(y);
  const starts: number[] = [];
  const waiting: [number, number][] = [[0, y.length]];
  for (let stretch = waiting.pop(); stretch !== undefined; stretch = waiting.pop()) {
    const [from, to] = stretch;
    let gain = penalty;
    let cut = -1;
    for (let at = from + minSegment; at <= to - minSegment; at++) {
      const candidate = cost(from, to) - cost(from, at) - cost(at, to);
      if (candidate > gain) {
        gain = candidate;
        cut = at;
      }
    }
    if (cut < 0) continue;
    starts.push(cut);
    waiting.push([from, cut], [cut, to]);
  }
  starts.sort((a, b) => a - b);
  const ends = [...starts, y.length];
  const squares = ends.reduce((sum, end, i) => sum + cost(starts[i - 1] ?? 0, end), 0);
  return { starts, objective: squares + penalty * starts.length };
}

/**
 * Robust standard deviation of single values from first differences, 1.4826 median |d - median d| / sqrt 2: blind to
 * a few changes of level. 0 for fewer than two values and for constant series (floor it at the reading's resolution).
 */
export function differenceSigma(y: readonly number[]): number {
  const differences = Float64Array.from({ length: Math.max(0, y.length - 1) }, (_, i) => (y[i + 1] ?? 0) - (y[i] ?? 0));
  const middle = medianInPlace(differences);
  if (middle === null) return 0;
  const distance = medianInPlace(differences.map((d) => Math.abs(d - middle)));
  return (1.4826 * (distance ?? 0)) / Math.SQRT2;
}

function checkOptions({ penalty, minSegment }: { penalty: number; minSegment: number }): void {
  if (!(penalty >= 0)) throw new RangeError(`penalty must be at least 0: ${penalty}`);
  if (!(Number.isInteger(minSegment) && minSegment >= 1))
    throw new RangeError(`segment must hold 1 or more: ${minSegment}`);
}

// Squares about the mean of [start, end) from running sums; the series is centred first to keep the digits.
function segmentCost(y: readonly number[]): (start: number, end: number) => number {
  const centre = y.reduce((sum, value) => sum + value, 0) / Math.max(1, y.length);
  const sums = new Float64Array(y.length + 1);
  const squares = new Float64Array(y.length + 1);
  for (const [i, value] of y.entries()) {
    if (!Number.isFinite(value)) throw new RangeError(`value is not finite: ${value}`);
    sums[i + 1] = (sums[i] ?? 0) + (value - centre);
    squares[i + 1] = (squares[i] ?? 0) + (value - centre) ** 2;
  }
  return (start, end) => {
    const sum = (sums[end] ?? 0) - (sums[start] ?? 0);
    return Math.max(0, (squares[end] ?? 0) - (squares[start] ?? 0) - (sum * sum) / (end - start));
  };
}
