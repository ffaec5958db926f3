import { negativeBinomialCdf, negativeBinomialUpper, normalQuantile } from "@/lib/statistics/distributions";
import type { CountOverExposure } from "@/lib/statistics/poisson-rate";

/** One treated unit: what was counted before and after. */
export type BeforeAfter = { readonly before: CountOverExposure; readonly after: CountOverExposure };

/** Expected count after, had nothing been done, with its variance; exact chances of so few or so many after. */
export type ExpectedAfter = {
  readonly expected: number;
  readonly variance: number;
  readonly pLess: number;
  readonly pGreater: number;
};

/** Ratio of the count after to the expected one; standard error null when nothing was seen after. */
export type EffectRatio = {
  readonly theta: number;
  readonly standardError: number | null;
  readonly low: number;
  readonly high: number;
};

/**
 * Expected count after without any effect, given the count before and the fleet's distribution of rates.
 *
 * The prior takes out regression to the mean: a unit picked because it was bad improves by itself. Null hypothesis of
 * the chances: the unit's rate stays; the count after is then negative binomial.
 *
 * @param prior - gamma shape and rate of the fleet, above 0 and finite
 * @throws RangeError for an impossible prior or exposure
 * Source: Hauer (1997), Observational Before-After Studies in Road Safety, ch. 11 (from memory).
 */
export function expectedAfter(
  { before, after }: BeforeAfter,
  prior: { readonly shape: number; readonly rate: number },
): ExpectedAfter {
  if (!(prior.shape > 0 && prior.rate > 0 && prior.shape < Infinity && prior.rate < Infinity)) {
    throw new RangeError(`prior must be above 0 and finite: ${prior.shape}, ${prior.rate}`);
  }
  if (!(before.exposure >= 0 && after.exposure >= 0)) {
    throw new RangeError(`exposure below 0: ${before.exposure}, ${after.exposure}`);
  }
  const size = prior.shape + before.count;
  const rate = prior.rate + before.exposure;
  const mean = (size / rate) * after.exposure;
  return {
    expected: mean,
    variance: (size / rate ** 2) * after.exposure ** 2,
    pLess: negativeBinomialCdf(after.count, { size, mean }),
    pGreater: negativeBinomialUpper(after.count, { size, mean }),
  };
}

/**
 * Ratio observed / expected after, corrected for the expectation's own uncertainty; sums over units may be put in.
 *
 * @param observed - events after, whole
 * @param expected, variance - sums of `expectedAfter` over the same units
 * @returns null when nothing was expected
 * @throws RangeError for an impossible level
 * Source: Hauer (1997), ch. 6, theta = (observed / expected) / (1 + variance / expected²) (from memory).
 */
export function effectRatio({
  observed,
  expected,
  variance,
  level = 0.95,
}: {
  observed: number;
  expected: number;
  variance: number;
  level?: number;
}): EffectRatio | null {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  if (!(expected > 0)) return null;
  const relative = variance / expected ** 2;
  const theta = observed / expected / (1 + relative);
  if (observed === 0) return { theta, standardError: null, low: 0, high: 0 };
  const standardError = (theta * Math.sqrt(1 / observed + relative)) / (1 + relative);
  const z = normalQuantile((1 + level) / 2);
  return { theta, standardError, low: theta - z * standardError, high: theta + z * standardError };
}
