/**
 * The k-th smallest value (0-based), found in place: `values` is reordered so that nothing before k is larger and
 * nothing after k is smaller. Cost: O(n) on average (Hoare's selection with a middle-of-three pivot).
 *
 * @throws RangeError for a k outside the list
 */
export function selectInPlace(values: Float64Array, k: number, from = 0): number {
  if (!(k >= from && k < values.length)) throw new RangeError(`no value number ${k} of ${values.length}`);
  let low = from;
  let high = values.length - 1;
  while (high > low) {
    const pivot = middleOfThree(values[low] ?? 0, values[(low + high) >> 1] ?? 0, values[high] ?? 0);
    let i = low;
    let j = high;
    while (i <= j) {
      while ((values[i] ?? 0) < pivot) i++;
      while ((values[j] ?? 0) > pivot) j--;
      if (i > j) break;
      const held = values[i] ?? 0;
      values[i++] = values[j] ?? 0;
      values[j--] = held;
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return values[k] ?? 0;
}

/** Median of the values, which are reordered; null of an empty list. Cost: O(n) on average. */
export function medianInPlace(values: Float64Array): number | null {
  const n = values.length;
  if (n === 0) return null;
  const upper = selectInPlace(values, n >> 1);
  if (n % 2 === 1) return upper;
  let lower = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n >> 1; i++) lower = Math.max(lower, values[i] ?? lower);
  return (lower + upper) / 2;
}

/** Median of `values[from]` to `values[to - 1]`, which stay as they are; null of an empty range. Cost: as `medianInPlace`. */
export function medianOfRange(values: Float64Array, from: number, to: number): number | null {
  const n = to - from;
  if (!(n > 0)) return null;
  const own = new Float64Array(n);
  if (n > FEW) {
    own.set(values.subarray(from, to));
    return medianInPlace(own);
  }
  for (let i = 0; i < n; i += 1) {
    const value = values[from + i] ?? 0;
    let place = i;
    for (; place > 0 && (own[place - 1] ?? 0) > value; place -= 1) own[place] = own[place - 1] ?? 0;
    own[place] = value;
  }
  const upper = own[n >> 1] ?? 0;
  return n % 2 === 1 ? upper : ((own[(n >> 1) - 1] ?? 0) + upper) / 2;
}

// Sorting by insertion is quickest below this many.
const FEW = 12;

/** Value at a fractional 1-based rank between two order statistics, clamped to the ends; reorders the values. */
export function rankInPlace(values: Float64Array, rank: number): number {
  const clamped = Math.min(values.length, Math.max(1, rank));
  const below = Math.floor(clamped);
  const lower = selectInPlace(values, below - 1);
  if (clamped === below) return lower;
  let upper = Infinity;
  for (let i = below; i < values.length; i++) upper = Math.min(upper, values[i] ?? upper);
  return lower + (clamped - below) * (upper - lower);
}

function middleOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
