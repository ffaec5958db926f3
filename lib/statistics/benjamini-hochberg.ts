/**
 * Benjamini-Hochberg adjusted p-values (q-values).
 *
 * Naming every test with q <= f a discovery keeps the expected share of false
 * discoveries at or below f, for independent or positively dependent tests.
 *
 * @param pValues - shape (n), n >= 0, each in [0, 1]; any order; left unchanged
 * @returns shape (n), in the order of `pValues`; each in [0, 1] and never below its p-value
 * @throws RangeError when a p-value is NaN or outside [0, 1]
 *
 * Source: Benjamini and Hochberg (1995), J. R. Statist. Soc. B 57(1), 289-300, Eq. 1.
 * Cost: O(n log n).
 */
export function benjaminiHochberg(pValues: readonly number[]): number[] {
  return stepUp(pValues, 1);
}

/**
 * Benjamini-Yekutieli adjusted p-values: as Benjamini-Hochberg, but valid under any dependence of the tests.
 *
 * Arguments, answer and errors as `benjaminiHochberg`; each q-value is up to 1 + 1/2 + ... + 1/n times larger.
 * Source: Benjamini and Yekutieli (2001), Ann. Statist. 29(4), 1165-1188 (from memory).
 */
export function benjaminiYekutieli(pValues: readonly number[]): number[] {
  let harmonic = 0;
  for (let i = 1; i <= pValues.length; i++) harmonic += 1 / i;
  return stepUp(pValues, harmonic);
}

/**
 * Holm adjusted p-values: naming every test with an adjusted p-value <= f keeps the chance of even one false
 * discovery at or below f, under any dependence. Arguments, answer and errors as `benjaminiHochberg`.
 *
 * Source: Holm (1979), Scand. J. Statist. 6, 65-70 (from memory).
 */
export function holm(pValues: readonly number[]): number[] {
  checkProbabilities(pValues);
  const smallestFirst = [...pValues.entries()].sort(([, p], [, other]) => p - other);
  const adjusted = new Array<number>(pValues.length);
  let largestSoFar = 0;
  for (const [step, [index, p]] of smallestFirst.entries()) {
    largestSoFar = Math.max(largestSoFar, Math.min(1, p * (pValues.length - step)));
    adjusted[index] = largestSoFar;
  }
  return adjusted;
}

/** Bonferroni adjusted p-values, min(1, n p); arguments, answer and errors as `benjaminiHochberg`. */
export function bonferroni(pValues: readonly number[]): number[] {
  checkProbabilities(pValues);
  return pValues.map((p) => Math.min(1, p * pValues.length));
}

function stepUp(pValues: readonly number[], factor: number): number[] {
  checkProbabilities(pValues);
  const largestFirst = [...pValues.entries()].sort(([, p], [, other]) => other - p);
  const qValues = new Array<number>(pValues.length);
  let smallestSoFar = 1;
  for (const [step, [index, p]] of largestFirst.entries()) {
    const rank = pValues.length - step; // n for the largest p-value, 1 for the smallest
    // The quotient first: p * n / n may round below p, and a q-value below its p-value would be a lie.
    smallestSoFar = Math.min(smallestSoFar, p * factor * (pValues.length / rank));
    qValues[index] = smallestSoFar;
  }
  return qValues;
}

function checkProbabilities(pValues: readonly number[]): void {
  for (const p of pValues) {
    if (!(p >= 0 && p <= 1)) throw new RangeError(`p-value outside [0, 1]: ${p}`);
  }
}
