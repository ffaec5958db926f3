import {
  betaQuantile,
  binomialCdf,
  binomialPmf,
  binomialUpper,
  gammaQuantile,
  poissonCdf,
  poissonPmf,
  poissonUpper,
} from "@/lib/statistics/distributions";
import { type CountOverExposure, rateRatioLimits } from "@/lib/statistics/poisson-rate";

/** Which departure from the null counts as evidence. */
export type Alternative = "two-sided" | "greater" | "less";

/** Estimate with exact p-value and limits; Infinity where there is no upper limit or the ratio's base count is 0. */
export type ExactTest = { readonly estimate: number; readonly p: number; readonly low: number; readonly high: number };

/** Null value, direction and coverage of an exact test; 1, two-sided and .95 unless told. */
export type TestOptions = { readonly nullValue?: number; readonly alternative?: Alternative; readonly level?: number };

// Outcomes within this relative distance count as equally likely: their chances differ by rounding alone.
const EQUALLY_LIKELY = 1 + 1e-7;

/**
 * Exact test of one Poisson rate against a given one; two-sided p adds the outcomes no likelier than the observed.
 *
 * @param count, exposure - whole count over an exposure above 0
 * @throws RangeError for impossible arguments
 * Source: Garwood (1936), Biometrika 28, 437-442 (from memory).
 */
export function exactRateTest(
  { count, exposure }: CountOverExposure,
  { nullValue = 1, alternative = "two-sided", level = 0.95 }: TestOptions = {},
): ExactTest {
  if (!(Number.isInteger(count) && count >= 0)) throw new RangeError(`count must be whole and at least 0: ${count}`);
  if (!(exposure > 0 && nullValue > 0))
    throw new RangeError(`exposure and null rate above 0: ${exposure}, ${nullValue}`);
  const mean = exposure * nullValue;
  const p = exactP(count, alternative, {
    mean,
    largest: Infinity,
    pmf: (k) => poissonPmf(k, mean),
    cdf: (k) => poissonCdf(k, mean),
    upper: (k) => poissonUpper(k, mean),
  });
  const { low, high } = tails(alternative, level);
  return {
    estimate: count / exposure,
    p,
    low: count === 0 || low === 0 ? 0 : gammaQuantile(low, { shape: count, rate: 1 }) / exposure,
    high: high === 0 ? Infinity : gammaQuantile(1 - high, { shape: count + 1, rate: 1 }) / exposure,
  };
}

/**
 * Exact conditional test of the ratio of two Poisson rates, one- or two-sided, with mid-p values of either side.
 *
 * @returns both counts 0: estimate 0, every p 1, limits 0 and Infinity
 * @throws RangeError for impossible arguments
 * Source: Przyborowski and Wilenski (1940), Biometrika 31, 313-323 (from memory).
 */
export function exactRateRatioTest(
  { recent, baseline }: { recent: CountOverExposure; baseline: CountOverExposure },
  { nullValue = 1, alternative = "two-sided", level = 0.95 }: TestOptions = {},
): ExactTest & { pMidGreater: number; pMidLess: number } {
  const { low: tailLow, high: tailHigh } = tails(alternative, level);
  const limits = rateRatioLimits({ recent, baseline, tailLow, tailHigh });
  const n = recent.count + baseline.count;
  if (n === 0) return { estimate: 0, p: 1, ...limits, pMidGreater: 1, pMidLess: 1 };
  const exposed = nullValue * recent.exposure;
  const parameters = { n, p: exposed / (exposed + baseline.exposure) };
  const half = 0.5 * binomialPmf(recent.count, parameters);
  const p = exactP(recent.count, alternative, {
    mean: n * parameters.p,
    largest: n,
    pmf: (k) => binomialPmf(k, parameters),
    cdf: (k) => binomialCdf(k, parameters),
    upper: (k) => binomialUpper(k, parameters),
  });
  return {
    estimate: recent.count / recent.exposure / (baseline.count / baseline.exposure),
    p,
    ...limits,
    pMidGreater: binomialUpper(recent.count, parameters) - half,
    pMidLess: binomialCdf(recent.count, parameters) - half,
  };
}

/**
 * Exact one-sided test that a count out of n has more than its share `p`, with Clopper-Pearson limits of the share.
 *
 * @param count - whole, 0 to n
 * @returns pGreater = P(Bin(n, p) >= count), 1 for n = 0 with limits 0 and 1
 * @throws RangeError for impossible arguments
 * Source: Clopper and Pearson (1934), Biometrika 26, 404-413 (from memory).
 */
export function shareTest({ count, n, p, level }: { count: number; n: number; p: number; level: number }) {
  if (!(Number.isInteger(count) && count >= 0 && count <= n)) throw new RangeError(`count outside 0 to ${n}: ${count}`);
  const { low, high } = tails("two-sided", level);
  return {
    share: n === 0 ? null : count / n,
    low: count === 0 ? 0 : betaQuantile(low, { a: count, b: n - count + 1 }),
    high: count === n ? 1 : betaQuantile(1 - high, { a: count + 1, b: n - count }),
    pGreater: binomialUpper(count, { n, p }),
  };
}

type Family = {
  readonly mean: number;
  readonly largest: number;
  readonly pmf: (k: number) => number;
  readonly cdf: (k: number) => number;
  readonly upper: (k: number) => number;
};

function exactP(count: number, alternative: Alternative, family: Family): number {
  if (alternative === "greater") return family.upper(count);
  if (alternative === "less") return family.cdf(count);
  const { mean, largest, pmf } = family;
  const bound = pmf(count) * EQUALLY_LIKELY;
  if (count === mean) return 1;
  if (count < mean) {
    let k = Math.ceil(mean);
    while (k <= largest && pmf(k) > bound) k++;
    return Math.min(1, family.cdf(count) + family.upper(k));
  }
  let k = Math.floor(mean);
  while (k >= 0 && pmf(k) > bound) k--;
  return Math.min(1, family.upper(count) + family.cdf(k));
}

function tails(alternative: Alternative, level: number): { low: number; high: number } {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  const outside = 1 - level;
  if (alternative === "greater") return { low: outside, high: 0 };
  return alternative === "less" ? { low: 0, high: outside } : { low: outside / 2, high: outside / 2 };
}
