import { mean, median, variance } from "simple-statistics";

/** Arithmetic mean by compensated summation; null for no values. Cost: O(n). */
export function meanOf(values: readonly number[]): number | null {
  return values.length === 0 ? null : mean([...values]);
}

/** Mean squared distance from the mean, divided by n; null for no values. Cost: O(n). */
export function varianceOf(values: readonly number[]): number | null {
  return values.length === 0 ? null : variance([...values]);
}

/** Middle value of numbers in any order (mean of the two middle ones); null for none. The list is left unchanged. */
export function medianOf(values: readonly number[]): number | null {
  return values.length === 0 ? null : median([...values]);
}

/**
 * Middle value of rising numbers; null for none. Cost: O(1).
 *
 * Takes typed arrays as they are: it is called once a day of every detector, where a copy for the library would show.
 */
export function medianOfSorted(sorted: ArrayLike<number>): number | null {
  const half = sorted.length >> 1;
  const upper = sorted[half];
  if (upper === undefined) return null;
  const lower = sorted[half - 1];
  return sorted.length % 2 === 1 || lower === undefined ? upper : (lower + upper) / 2;
}
