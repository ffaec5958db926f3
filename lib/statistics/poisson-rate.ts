import { betaQuantile, binomialPmf, binomialUpper, gammaQuantile } from "@/lib/statistics/distributions";

/** A number of events and the exposure (any unit of time, at least 0) they were counted over. */
export type CountOverExposure = { readonly count: number; readonly exposure: number };

/** A rate per unit of exposure with its exact limits. */
export type RateInterval = { readonly rate: number; readonly low: number; readonly high: number };

/**
 * What two counts say about a risen rate. `ratio` and `high` are null where they have no upper limit (baseline count
 * 0) or cannot be formed (both counts 0); `pExact` and `pMid` are one-sided, small when the recent rate is higher.
 */
export type RateRatio = {
  readonly ratio: number | null;
  readonly low: number;
  readonly high: number | null;
  readonly pExact: number;
  readonly pMid: number;
};

/**
 * Exact (Garwood) limits of a Poisson mean from one count: chi-square quantiles, `low` is 0 for count 0.
 *
 * @param count - whole, at least 0
 * @param level - two-sided coverage in (0, 1)
 * @throws RangeError for an impossible count or level
 * Source: Garwood (1936), Biometrika 28, 437-442 (from memory).
 */
export function poissonMeanInterval(count: number, { level }: { level: number }): { low: number; high: number } {
  demandCount(count);
  demandLevel(level);
  const tail = (1 - level) / 2;
  return {
    low: count === 0 ? 0 : gammaQuantile(tail, { shape: count, rate: 1 }),
    high: gammaQuantile(1 - tail, { shape: count + 1, rate: 1 }),
  };
}

/**
 * Rate of a Poisson process with exact Garwood limits.
 *
 * @param count - whole, at least 0
 * @param exposure - above 0; the rate comes back per unit of it
 * @throws RangeError for an impossible count, exposure or level; exposure 0 means "not observed" and has no rate
 */
export function poissonRateInterval(count: number, exposure: number, { level }: { level: number }): RateInterval {
  if (!(exposure > 0 && exposure < Infinity)) throw new RangeError(`exposure must be finite and above 0: ${exposure}`);
  const { low, high } = poissonMeanInterval(count, { level });
  return { rate: count / exposure, low: low / exposure, high: high / exposure };
}

/**
 * Exact one-sided comparison of two Poisson rates: is the recent rate higher than the baseline rate?
 *
 * Null hypothesis: equal rates; given the total n the recent count is binomial with p = its share of the exposure.
 * Limits of the ratio are two-sided Clopper-Pearson. Both counts 0 gives no evidence: p = 1, limits 0 and none.
 *
 * @param recent, baseline - counts with exposures above 0
 * @param level - two-sided coverage of the ratio's limits, in (0, 1)
 * @throws RangeError for an impossible count, exposure or level
 * Source: Przyborowski and Wilenski (1940), Biometrika 31, 313-323 (from memory).
 */
export function rateRatioTest({
  recent,
  baseline,
  level,
}: {
  recent: CountOverExposure;
  baseline: CountOverExposure;
  level: number;
}): RateRatio {
  demandExposed(recent);
  demandExposed(baseline);
  demandLevel(level);
  const n = recent.count + baseline.count;
  if (n === 0) return { ratio: null, low: 0, high: null, pExact: 1, pMid: 1 };
  const p = recent.exposure / (recent.exposure + baseline.exposure);
  const atLeast = binomialUpper(recent.count, { n, p });
  const limits = rateRatioLimits({ recent, baseline, tailLow: (1 - level) / 2, tailHigh: (1 - level) / 2 });
  return {
    ratio: baseline.count === 0 ? null : recent.count / recent.exposure / (baseline.count / baseline.exposure),
    low: limits.low,
    high: limits.high === Infinity ? null : limits.high,
    pExact: atLeast,
    pMid: atLeast - 0.5 * binomialPmf(recent.count, { n, p }),
  };
}

/**
 * Clopper-Pearson limits of a rate ratio, with the two tail chances given apart (0 for a one-sided limit);
 * `high` is Infinity where there is no upper limit. Throws RangeError for an impossible count or exposure.
 */
export function rateRatioLimits({
  recent,
  baseline,
  tailLow,
  tailHigh,
}: {
  recent: CountOverExposure;
  baseline: CountOverExposure;
  tailLow: number;
  tailHigh: number;
}): { low: number; high: number } {
  demandExposed(recent);
  demandExposed(baseline);
  const odds = baseline.exposure / recent.exposure;
  const x = recent.count;
  const y = baseline.count;
  const low = x === 0 || tailLow === 0 ? 0 : betaQuantile(tailLow, { a: x, b: y + 1 });
  // The upper limit's complement is the lower quantile of the mirrored beta, which keeps its digits near 1.
  const beyond = y === 0 || tailHigh === 0 ? 0 : betaQuantile(tailHigh, { a: y, b: x + 1 });
  return { low: (low / (1 - low)) * odds, high: beyond === 0 ? Infinity : ((1 - beyond) / beyond) * odds };
}

function demandCount(count: number): void {
  if (!(Number.isInteger(count) && count >= 0)) throw new RangeError(`count must be whole and at least 0: ${count}`);
}
function demandLevel(level: number): void {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
}
function demandExposed({ count, exposure }: CountOverExposure): void {
  demandCount(count);
  if (!(exposure > 0 && exposure < Infinity)) throw new RangeError(`exposure must be finite and above 0: ${exposure}`);
}
