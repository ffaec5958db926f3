import {
  gammaQuantile,
  negativeBinomialLogPmf,
  negativeBinomialQuantile,
  negativeBinomialUpper,
} from "@/lib/statistics/distributions";
import { findRoot } from "@/lib/statistics/root";

/**
 * Gamma distribution of rates over a fleet. `mean` = shape / rate. A fleet without spread between units has shape and
 * rate Infinity: every unit has the rate `mean`. `method` tells how it was found.
 */
export type RatePrior = { readonly shape: number; readonly rate: number; readonly mean: number };
/** A fitted prior: by likelihood, by moments, pooled (no spread between units), or weak (too little to fit). */
export type FittedPrior = RatePrior & { readonly method: "likelihood" | "moments" | "pooled" | "weak" };

/** Counts of units and their exposures, of equal length. */
export type UnitCounts = { readonly counts: readonly number[]; readonly exposures: readonly number[] };

const WEAK_SHAPE = 0.5;
const SMALLEST_SHAPE = 1e-3;
const LARGEST_SHAPE = 1e6;

/**
 * Fits the gamma distribution of unit rates by the marginal (negative binomial) likelihood of the counts.
 *
 * No more spread than chance gives: shape and rate Infinity, the pooled rate for all. No event at all or a single
 * unit: a weak gamma of shape 1/2 around the pooled rate, (events or 1/2) / exposure. Should the likelihood have no
 * inner maximum, moments (Marshall) are used.
 *
 * @param counts - whole, at least 0
 * @param exposures - at least 0, same unit of time throughout; units without exposure are left out
 * @throws RangeError for unequal lengths, impossible values, or no exposure at all
 *
 * Source: Gaver and O'Muircheartaigh (1987), Technometrics 29, 1-15; Marshall (1991), Appl. Statist. 40, 283-294
 * (from memory). Cost: about 20 x 6 passes over the units.
 */
export function fitGammaPoisson({ counts, exposures }: UnitCounts): FittedPrior {
  const units = checkedUnits({ counts, exposures });
  let events = 0;
  let exposure = 0;
  for (const unit of units) {
    events += unit.count;
    exposure += unit.exposure;
  }
  if (!(exposure > 0)) throw new RangeError(`no exposure in ${counts.length} units`);
  const pooled = events / exposure;
  if (events === 0 || units.length === 1) {
    const mean = events === 0 ? WEAK_SHAPE / exposure : pooled;
    return { shape: WEAK_SHAPE, rate: WEAK_SHAPE / mean, mean, method: "weak" };
  }
  const slopeAt = (logShape: number) => shapeScore(units, Math.exp(logShape), pooled);
  const low = Math.log(SMALLEST_SHAPE);
  const high = Math.log(LARGEST_SHAPE);
  if (!(excessSpread(units, pooled) > 0) || slopeAt(high) >= 0) {
    return { shape: Infinity, rate: Infinity, mean: pooled, method: "pooled" };
  }
  if (!(slopeAt(low) > 0)) {
    const { a, b, mean } = gammaMoments({ counts, exposures });
    if (a === null || b === null) return { shape: Infinity, rate: Infinity, mean, method: "pooled" };
    return { shape: a, rate: b, mean, method: "moments" };
  }
  const shape = Math.exp(findRoot(slopeAt, { low, high, tolerance: 1e-10 }));
  const mean = fittedMean(units, shape, pooled);
  return { shape, rate: shape / mean, mean, method: "likelihood" };
}

type Unit = { readonly count: number; readonly exposure: number };

function checkedUnits({ counts, exposures }: UnitCounts): Unit[] {
  if (counts.length !== exposures.length)
    throw new RangeError(`${counts.length} counts, ${exposures.length} exposures`);
  const units: Unit[] = [];
  for (const [i, count] of counts.entries()) {
    const exposure = exposures[i] ?? 0;
    if (!(Number.isInteger(count) && count >= 0)) throw new RangeError(`count must be whole and at least 0: ${count}`);
    if (!(exposure >= 0 && exposure < Infinity)) throw new RangeError(`exposure must be at least 0: ${exposure}`);
    if (exposure > 0) units.push({ count, exposure });
  }
  return units;
}

// Slope of the log-likelihood in the shape as the shape grows without bound: its sign tells whether any spread is left.
function excessSpread(units: readonly Unit[], mean: number): number {
  let sum = 0;
  for (const { count, exposure } of units) sum += (count - mean * exposure) ** 2 - count;
  return sum;
}

// Mean rate that fits best for a given shape: Newton on the concave part, from the pooled rate.
function fittedMean(units: readonly Unit[], shape: number, start: number): number {
  let mean = start;
  for (let round = 0; round < 50; round++) {
    let score = 0;
    let information = 0;
    for (const { count, exposure } of units) {
      const spread = shape + mean * exposure;
      score += (shape * (count - mean * exposure)) / spread;
      information += (shape * mean * exposure) / spread;
    }
    const step = score / information;
    mean *= Math.exp(Math.max(-1, Math.min(1, step)));
    if (Math.abs(step) < 1e-14) break;
  }
  return mean;
}

function shapeScore(units: readonly Unit[], shape: number, start: number): number {
  const mean = fittedMean(units, shape, start);
  let score = 0;
  for (const { count, exposure } of units) {
    const expected = mean * exposure;
    // digamma(shape + count) - digamma(shape), exact for a whole count.
    for (let k = 0; k < count; k++) score += 1 / (shape + k);
    score += -Math.log1p(expected / shape) + (expected - count) / (shape + expected);
  }
  return score;
}

/** Log-likelihood of counts under a gamma distribution of rates; throws RangeError for impossible values. */
export function gammaPoissonLogLikelihood({ counts, exposures }: UnitCounts, { shape, mean }: RatePrior): number {
  return checkedUnits({ counts, exposures }).reduce(
    (sum, { count, exposure }) => sum + negativeBinomialLogPmf(count, { size: shape, mean: mean * exposure }),
    0,
  );
}

/**
 * Moment estimates of the gamma distribution of rates: pooled mean, exposure-weighted variance, and the part of it
 * that lies between units (0 when chance explains it all; then a and b are null).
 *
 * Source: Marshall (1991), Appl. Statist. 40, 283-294 (from memory).
 */
export function gammaMoments({ counts, exposures }: UnitCounts) {
  const units = checkedUnits({ counts, exposures });
  const exposure = units.reduce((sum, unit) => sum + unit.exposure, 0);
  if (!(exposure > 0)) throw new RangeError(`no exposure in ${counts.length} units`);
  const mean = units.reduce((sum, unit) => sum + unit.count, 0) / exposure;
  const s2 = units.reduce((sum, unit) => sum + unit.exposure * (unit.count / unit.exposure - mean) ** 2, 0) / exposure;
  const between = s2 - mean / (exposure / units.length);
  const varPrior = between > 1e-12 * s2 ? between : 0;
  return {
    mean,
    s2,
    varPrior,
    a: varPrior > 0 ? mean ** 2 / varPrior : null,
    b: varPrior > 0 ? mean / varPrior : null,
  };
}

/** A prior by shape and rate; `mean` is needed only where they are Infinity (no spread between units). */
export type PriorArguments = { readonly shape: number; readonly rate: number; readonly mean?: number };

/** Rate of one unit after its own count: posterior mean, equal-tailed limits, shape and rate. */
export type PosteriorRate = RatePrior & { readonly low: number; readonly high: number };

/**
 * Posterior of one unit's rate: Gamma(shape + count, rate + exposure); count and exposure may be discounted.
 *
 * @param level - two-sided coverage of the equal-tailed limits, in (0, 1)
 * @throws RangeError for impossible values, or a prior without spread whose mean is not given
 */
export function posteriorRate({
  level,
  ...unit
}: PriorArguments & { count: number; exposure: number; level: number }): PosteriorRate {
  demandLevel(level);
  const { shape, rate, mean } = updated(unit);
  if (shape === Infinity) return { shape, rate, mean, low: mean, high: mean };
  const tail = (1 - level) / 2;
  const low = gammaQuantile(tail, { shape, rate });
  return { shape, rate, mean, low, high: gammaQuantile(1 - tail, { shape, rate }) };
}

function demandLevel(level: number): void {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
}

function updated({ count, exposure, ...prior }: PriorArguments & { count: number; exposure: number }): RatePrior {
  if (!(count >= 0 && exposure >= 0)) throw new RangeError(`count or exposure below 0: ${count}, ${exposure}`);
  if (!(prior.shape > 0 && prior.rate > 0)) throw new RangeError(`prior below 0: ${prior.shape}, ${prior.rate}`);
  if (prior.shape === Infinity) {
    const { mean } = prior;
    if (mean === undefined || !(mean >= 0)) throw new RangeError(`prior without spread needs its mean: ${mean}`);
    return { shape: Infinity, rate: Infinity, mean };
  }
  const shape = prior.shape + count;
  const rate = prior.rate + exposure;
  return { shape, rate, mean: shape / rate };
}

/** Predicted count: mean, equal-tailed predictive limits (whole numbers), size of the negative binomial, P(at least 1). */
export type CountForecast = {
  readonly mean: number;
  readonly low: number;
  readonly high: number;
  readonly size: number;
  readonly pAtLeastOne: number;
};

/**
 * Forecast of one unit's count over a horizon: negative binomial of size shape + count (Poisson where the prior has
 * no spread).
 *
 * @param horizon - exposure to come, at least 0, in the unit of `exposure`
 * @param level - coverage of the predictive limits, in (0, 1); whole numbers cover more than it
 * @throws RangeError as `posteriorRate`, or for a negative horizon
 */
export function forecastCount({
  horizon,
  level,
  ...unit
}: PriorArguments & { count: number; exposure: number; horizon: number; level: number }): CountForecast {
  if (!(horizon >= 0 && horizon < Infinity)) throw new RangeError(`horizon must be finite and at least 0: ${horizon}`);
  demandLevel(level);
  const { shape: size, mean: rate } = updated(unit);
  const mean = rate * horizon;
  const tail = (1 - level) / 2;
  return {
    mean,
    low: negativeBinomialQuantile(tail, { size, mean }),
    high: negativeBinomialQuantile(1 - tail, { size, mean }),
    size,
    pAtLeastOne: negativeBinomialUpper(1, { size, mean }),
  };
}
