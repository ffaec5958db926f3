import betaln from "@stdlib/math-base-special-betaln";

/** Moments of a prevented share after a count: mean, mean square, and the log marginal likelihood up to a constant. */
export type BetaPoissonMoments = { readonly mean: number; readonly square: number; readonly logLikelihood: number };

const MOST_TERMS = 100_000;

/**
 * Posterior moments of a share s with prior Beta(a, b), given a count that is Poisson with mean expected · (1 - s).
 *
 * The likelihood (1 - s)^observed · exp(expected · s) integrates against the beta density to
 * B(a, b + observed) / B(a, b) · 1F1(a; a + b + observed; expected); mean and mean square are ratios of such terms.
 *
 * @param observed - at least 0, may be a fraction (a count divided by its dispersion)
 * @param expected - at least 0
 * @throws RangeError for an impossible prior or count
 * Source: the integral of Kummer's function, Abramowitz and Stegun (1964), 13.2.1 (from memory).
 * Cost: about expected + 10 · sqrt(expected) terms.
 */
export function betaPoissonMoments({
  a,
  b,
  observed,
  expected,
}: {
  a: number;
  b: number;
  observed: number;
  expected: number;
}): BetaPoissonMoments {
  if (!(a > 0 && b > 0 && a < Infinity && b < Infinity))
    throw new RangeError(`beta shapes must be above 0: ${a}, ${b}`);
  if (!(observed >= 0 && expected >= 0 && observed < Infinity && expected < Infinity)) {
    throw new RangeError(`counts must be at least 0: ${observed}, ${expected}`);
  }
  const left = b + observed;
  const logMoment = (power: number) =>
    betaln(a + power, left) - betaln(a, b) + logKummer(a + power, a + power + left, expected);
  const logLikelihood = logMoment(0);
  return {
    mean: Math.exp(logMoment(1) - logLikelihood),
    square: Math.exp(logMoment(2) - logLikelihood),
    logLikelihood,
  };
}

// log 1F1(p; q; x) for 0 < p < q, x >= 0: all terms are positive, summed relative to the largest so far.
function logKummer(p: number, q: number, x: number): number {
  let logTerm = 0;
  let largest = 0;
  let sum = 1;
  for (let k = 0; k < MOST_TERMS; k += 1) {
    const ratio = ((p + k) / (q + k)) * (x / (k + 1));
    logTerm += Math.log(ratio);
    if (logTerm > largest) {
      sum = sum * Math.exp(largest - logTerm) + 1;
      largest = logTerm;
    } else sum += Math.exp(logTerm - largest);
    if (ratio < 1 && logTerm - largest < -40) break;
    if (x === 0) break;
  }
  return largest + Math.log(sum);
}
