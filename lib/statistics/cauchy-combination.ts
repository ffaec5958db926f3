const SMALLEST = 1e-15;
const LARGEST = 0.99;

/**
 * Combines p-values of tests of one null hypothesis, however dependent, by the Cauchy rule with equal weights:
 * T = mean tan((1/2 - p) pi), combined p = 1/2 - atan(T) / pi.
 *
 * Each input is first clipped to [1e-15, 0.99]: without the upper clip a single p-value near 1 drags the answer to 1.
 *
 * @param pValues - at least one, each in [0, 1]
 * @returns the combined p-value, in (0, 1)
 * @throws RangeError for an empty list, a NaN or a value outside [0, 1]
 *
 * Source: Liu and Xie (2020), J. Am. Statist. Assoc. 115, 393-402; the clip is our own choice.
 */
export function cauchyCombination(pValues: readonly number[]): number {
  if (pValues.length === 0) throw new RangeError("no p-value to combine");
  let sum = 0;
  for (const p of pValues) {
    if (!(p >= 0 && p <= 1)) throw new RangeError(`p-value outside [0, 1]: ${p}`);
    // 1 / tan(pi p) equals tan((1/2 - p) pi) and keeps its digits for small p.
    sum += 1 / Math.tan(Math.PI * Math.min(LARGEST, Math.max(SMALLEST, p)));
  }
  const mean = sum / pValues.length;
  // atan2 keeps the digits of a small answer, which 1/2 - atan(T) / pi would lose.
  return Math.atan2(1, mean) / Math.PI;
}
