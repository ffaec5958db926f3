/** Middle value of numbers in any order (mean of the two middle ones); null for none. The list is left unchanged. */
export function medianOf(values: readonly number[]): number | null {
  return medianOfSorted([...values].sort((a, b) => a - b));
}

/** Middle value of rising numbers; null for none. */
export function medianOfSorted(sorted: ArrayLike<number>): number | null {
  const half = sorted.length >> 1;
  const upper = sorted[half];
  if (upper === undefined) return null;
  const lower = sorted[half - 1];
  return sorted.length % 2 === 1 || lower === undefined ? upper : (lower + upper) / 2;
}
