import { gammaCdf } from "@/lib/statistics/distributions";
import { findRoot } from "@/lib/statistics/root";

/** Events of a unit and what a common hazard leads one to expect of it; both at least 0. */
export type UnitEvents = { readonly observed: number; readonly expected: number };

/** Gamma distribution of a unit's hazard against the common one; shape Infinity: all units have the mean. */
export type Frailty = { readonly shape: number; readonly mean: number };

/** Ordinary units and those apart, with the share of the latter. */
export type FrailtyMixture = { readonly ordinary: Frailty; readonly apart: Frailty; readonly share: number };

const SHAPES = [10, 6, 4, 2.5, 1.5, 1];
const APART_MEANS = [4, 7, 12, 20];
const APART_SHAPE = 2;
const STEPS = 15;
const PRIOR_UNITS = 10;
const LARGEST_EFFECT_SHAPE = 4;

/**
 * Splits units into ordinary ones, whose hazards differ by nature (a gamma), and a few apart, at least four times as
 * high, by the marginal likelihood of their events given their expectation.
 *
 * The spread of the ordinary ones is thus not taken from the very units that are looked for. It is never below a gamma
 * of shape 10: no fleet's units are all alike. Half a unit of ten further ones is apart, so that the first can be told
 * and many are not believed lightly.
 *
 * @returns no unit with an expectation: everyone ordinary with hazard 1
 * @throws RangeError for an observed count that is not whole, or a negative expectation
 * Source: gamma frailty, Vaupel, Manton and Stallard (1979), Demography 16, 439-454; EM, Dempster, Laird and Rubin
 * (1977), J. R. Statist. Soc. B 39, 1-38 (both from memory). Grid, shape and threshold are our own choice.
 */
export function fitFrailtyMixture(units: readonly UnitEvents[]): FrailtyMixture {
  for (const { observed, expected } of units) {
    if (!(Number.isInteger(observed) && observed >= 0 && expected >= 0)) {
      throw new RangeError(`impossible events: ${observed} of ${expected}`);
    }
  }
  const known = units.filter(({ expected }) => expected > 0);
  let best: { mixture: FrailtyMixture; score: number } = {
    mixture: {
      ordinary: { shape: Infinity, mean: 1 },
      apart: { shape: APART_SHAPE, mean: APART_MEANS[0] ?? 4 },
      share: 0,
    },
    score: Number.NEGATIVE_INFINITY,
  };
  if (known.length === 0) return best.mixture;
  for (const shape of SHAPES) {
    for (const times of APART_MEANS) {
      const fitted = climb(known, { shape, times });
      const score = fitted.logLikelihood;
      if (score > best.score) best = { mixture: fitted.mixture, score };
    }
  }
  return best.mixture;
}

function climb(units: readonly UnitEvents[], { shape, times }: { shape: number; times: number }) {
  let ordinary: Frailty = { shape, mean: 1 };
  let share = 0.05;
  let logLikelihood = 0;
  for (let step = 0; step < STEPS; step++) {
    const mixture: FrailtyMixture = { ordinary, apart: { shape: APART_SHAPE, mean: times * ordinary.mean }, share };
    logLikelihood = 0;
    let apart = 0;
    let observed = 0;
    let expected = 0;
    for (const unit of units) {
      const { weight, log } = apartWeight(unit, mixture);
      logLikelihood += log;
      apart += weight;
      observed += (1 - weight) * unit.observed;
      expected += (1 - weight) * unit.expected;
    }
    if (step === STEPS - 1) return { mixture, logLikelihood };
    share = (apart + 0.5) / (units.length + PRIOR_UNITS);
    ordinary = { shape, mean: Math.max(1e-3, (observed + 0.5) / (expected + 0.5)) };
  }
  throw new RangeError("no step made");
}

/** Chance that a unit is apart, and the log-likelihood of its events but for a term that no parameter is in. */
function apartWeight(unit: UnitEvents, { ordinary, apart, share }: FrailtyMixture): { weight: number; log: number } {
  const usual = Math.log(1 - share) + logMarginal(unit, ordinary);
  const other = share > 0 ? Math.log(share) + logMarginal(unit, apart) : Number.NEGATIVE_INFINITY;
  const top = Math.max(usual, other);
  const log = top + Math.log(Math.exp(usual - top) + Math.exp(other - top));
  return { weight: Math.exp(other - log), log };
}

// ln E[z^observed exp(-z expected)] over a gamma z.
function logMarginal({ observed, expected }: UnitEvents, { shape, mean }: Frailty): number {
  if (shape === Infinity) return observed * Math.log(mean) - mean * expected;
  const rate = shape / mean;
  let log = -shape * Math.log1p(expected / rate) - observed * Math.log(rate + expected);
  for (let k = 0; k < observed; k++) log += Math.log(shape + k);
  return log;
}

/**
 * Hazard of one unit against the common one, drawn towards the others: posterior median with its limits.
 *
 * Even where no spread of the ordinary ones shows, a gamma of shape 4 is granted them here: a lack of proof is no proof
 * that all are the same, and without it the interval of an ordinary unit would be a point.
 *
 * @param level - two-sided coverage, .95 unless told
 */
export function shrunkHazard(
  unit: UnitEvents,
  mixture: FrailtyMixture,
  { level = 0.95 }: { level?: number } = {},
): { readonly value: number; readonly low: number; readonly high: number } {
  const ordinary = { ...mixture.ordinary, shape: Math.min(LARGEST_EFFECT_SHAPE, mixture.ordinary.shape) };
  const { weight } = apartWeight(unit, { ...mixture, ordinary });
  const cdf = (z: number) =>
    (1 - weight) * posteriorCdf(z, unit, ordinary) + weight * posteriorCdf(z, unit, mixture.apart);
  const reach = 50 * mixture.apart.mean + 20 * (unit.observed + 1);
  const quantile = (share: number) =>
    Math.exp(findRoot((log) => cdf(Math.exp(log)) - share, { low: -25, high: Math.log(reach), tolerance: 1e-6 }));
  return { value: quantile(0.5), low: quantile((1 - level) / 2), high: quantile((1 + level) / 2) };
}

function posteriorCdf(z: number, { observed, expected }: UnitEvents, { shape, mean }: Frailty): number {
  return gammaCdf(z, { shape: shape + observed, rate: shape / mean + expected });
}
