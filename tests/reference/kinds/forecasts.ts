import { effectRatio, expectedAfter } from "@/lib/statistics/before-after";
import {
  chiSquareUpper,
  type NegativeBinomialParameters,
  negativeBinomialLogPmf,
  negativeBinomialQuantile,
  negativeBinomialUpper,
} from "@/lib/statistics/distributions";
import { exactRateRatioTest } from "@/lib/statistics/exact-rate-test";
import { exponentialForgetting } from "@/lib/statistics/exponential-forgetting";
import { poissonDeviance } from "@/lib/statistics/poisson-regression";
import { probabilityScores } from "@/lib/statistics/probability-scores";
import { countScores } from "@/lib/statistics/scores";
import {
  fitGammaPoisson,
  forecastCount,
  gammaMoments,
  gammaPoissonLogLikelihood,
  posteriorRate,
} from "@/lib/statistics/shrinkage";
import type { Evaluated } from "./compare";
import { at, casesOf, type Json, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

const idOf = (one: Json) => String(at(one, "id") ?? "whole file");
const expectedOf = (one: Json): Json => at(one, "expected") ?? null;

function quantiles(parameters: NegativeBinomialParameters) {
  return {
    low80: negativeBinomialQuantile(0.1, parameters),
    high80: negativeBinomialQuantile(0.9, parameters),
    low95: negativeBinomialQuantile(0.025, parameters),
    high95: negativeBinomialQuantile(0.975, parameters),
  };
}

type Unit = { shape: number; rate: number; count: number; exposure: number };

function forecast(unit: Unit, horizon: number) {
  const posterior = posteriorRate({ ...unit, level: 0.95 });
  const { mean, size, pAtLeastOne, low, high } = forecastCount({ ...unit, horizon, level: 0.8 });
  const all = quantiles({ size, mean });
  return {
    postMean: posterior.mean,
    rateLow: posterior.low,
    rateHigh: posterior.high,
    mean,
    pAtLeastOne,
    p0: 1 - pAtLeastOne,
    ...all,
    low80: low,
    high80: high,
    pAtLeast3: negativeBinomialUpper(3, { size, mean }),
  };
}

function forecastCases(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const exposure = numberAt(one, "input.exposureDays");
    const horizon = numberAt(one, "input.horizonDays");
    const events = numbersAt(one, "input.eventDays");
    const prior = { shape: numberAt(one, "input.priorShape"), rate: numberAt(one, "input.priorRateDays") };
    const tau = numberAt(one, "input.discountTauDays");
    const weighed = exponentialForgetting({ inService: [[0, exposure]], events, asOf: exposure, tau });
    const actual = {
      plain: forecast({ ...prior, count: events.length, exposure }, horizon),
      discounted: {
        discountedCount: weighed.count,
        discountedExposure: weighed.exposure,
        ...forecast({ ...prior, ...weighed }, horizon),
      },
    };
    return { id: idOf(one), expected: expectedOf(one), actual, tolerance: numberAt(json, "tolerance") };
  });
}

/** Posterior means under alpha ~ Exp(1), beta ~ Gamma(.1, 1), by the trapezoid on a grid of ln alpha and ln beta. */
function fullBayes(counts: readonly number[], exposures: readonly number[]) {
  const points = 320;
  const sums = { weight: 0, alpha: 0, beta: 0, theta: counts.map(() => 0) };
  for (let i = 0; i <= points; i++) {
    const alpha = Math.exp(-6 + (9 * i) / points);
    for (let j = 0; j <= points; j++) {
      const beta = Math.exp(-12 + (16 * j) / points);
      // Prior densities times the Jacobian alpha beta of the logarithms.
      let log = -alpha - 0.9 * Math.log(beta) - beta + Math.log(alpha) + Math.log(beta);
      for (const [k, y] of counts.entries()) {
        log += negativeBinomialLogPmf(y, { size: alpha, mean: (alpha * (exposures[k] ?? 0)) / beta });
      }
      const weight = Math.exp(log + 30);
      sums.weight += weight;
      sums.alpha += weight * alpha;
      sums.beta += weight * beta;
      for (const [k, y] of counts.entries()) {
        sums.theta[k] = (sums.theta[k] ?? 0) + (weight * (alpha + y)) / (beta + (exposures[k] ?? 0));
      }
    }
  }
  return {
    alphaMean: sums.alpha / sums.weight,
    betaMean: sums.beta / sums.weight,
    thetaMean: sums.theta.map((sum) => sum / sums.weight),
  };
}

/** Times as the file's note says they were rounded for the full Bayesian answer (the well-known example's own). */
const ROUNDED_TIMES = [94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5];

function pumps(json: Json): Evaluated[] {
  const counts = numbersAt(json, "input.failures");
  const exposures = numbersAt(json, "input.thousandHours");
  const horizon = numberAt(json, "input.horizon");
  const prior = fitGammaPoisson({ counts, exposures });
  const moments = gammaMoments({ counts, exposures });
  const units = counts.map((count, i) => ({ ...prior, count, exposure: exposures[i] ?? 0 }));
  const posteriors = units.map((unit) => posteriorRate({ ...unit, level: 0.95 }));
  const statistic = counts.reduce((sum, y, i) => {
    const expected = moments.mean * (exposures[i] ?? 0);
    return sum + (y - expected) ** 2 / expected;
  }, 0);
  const df = counts.length - 1;
  const actual = {
    mle: { a: prior.shape, b: prior.rate, loglik: gammaPoissonLogLikelihood({ counts, exposures }, prior) },
    glmNb: { theta: prior.shape, rate: prior.mean },
    moments,
    posteriorAtMle: {
      mean: posteriors.map((posterior) => posterior.mean),
      low: posteriors.map((posterior) => posterior.low),
      high: posteriors.map((posterior) => posterior.high),
    },
    predictionAtMle: units.map((unit) => forecast(unit, horizon)),
    fullBayesBugsPriors: fullBayes(counts, ROUNDED_TIMES),
    chiSquareHomogeneity: { statistic, df, p: chiSquareUpper(statistic, df) },
  };
  return [{ id: "pumps", expected: expectedOf(json), actual, tolerance: numberAt(json, "tolerance") }];
}

function degenerate(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const data = { counts: numbersAt(one, "input.events"), exposures: numbersAt(one, "input.exposure") };
    const actual = { moments: gammaMoments(data) };
    return { id: idOf(one), expected: expectedOf(one), actual, tolerance: numberAt(json, "tolerance") };
  });
}

function scoreCases(json: Json): Evaluated[] {
  const tolerance = numberAt(json, "tolerance");
  const counts = casesOf(json).map((one) => {
    const y = numberAt(one, "input.y");
    const parameters = { mean: numberAt(one, "input.mu"), size: numberAt(one, "input.size") };
    const scores = countScores(y, parameters);
    const actual = {
      ...scores,
      crps: scores.rankedProbabilityScore,
      dss: scores.dawidSebastiani,
      pAtLeastOne: negativeBinomialUpper(1, parameters),
      ...quantiles(parameters),
      poissonDeviance: poissonDeviance([y], [parameters.mean]),
    };
    return { id: idOf(one), expected: expectedOf(one), actual, tolerance };
  });
  const chances = at(json, "probabilityForecast");
  if (chances === undefined) return counts;
  const observed = numbersAt(chances, "input.observed").map((value) => value === 1);
  const found = probabilityScores({ p: numbersAt(chances, "input.p"), observed });
  const actual = found && { ...found, brierSkill: found.skill };
  return [...counts, { id: "chances", expected: expectedOf(chances), actual, tolerance }];
}

function visits(json: Json): Evaluated[] {
  const tolerance = numberAt(json, "tolerance");
  const total = { expected: 0, variance: 0, observed: 0 };
  const cases = casesOf(json).map((one): Evaluated => {
    const before = { count: numberAt(one, "input.before"), exposure: numberAt(one, "input.exposureBefore") };
    const after = { count: numberAt(one, "input.after"), exposure: numberAt(one, "input.exposureAfter") };
    const prior = { shape: numberAt(one, "input.priorShape"), rate: numberAt(one, "input.priorRate") };
    const found = expectedAfter({ before, after }, prior);
    const ratio = effectRatio({ observed: after.count, ...found });
    total.expected += found.expected;
    total.variance += found.variance;
    total.observed += after.count;
    const naive = exactRateRatioTest({ recent: after, baseline: before });
    const actual = {
      naive: { ratio: naive.estimate, low: naive.low, high: naive.high, pTwoSided: naive.p },
      empiricalBayes: {
        expectedAfter: found.expected,
        varExpectedAfter: found.variance,
        theta: ratio?.theta,
        thetaSe: ratio?.standardError,
        pLess: found.pLess,
        pGreater: found.pGreater,
        ratioLow: null,
      },
    };
    return { id: idOf(one), expected: expectedOf(one), actual, tolerance };
  });
  const pooled = effectRatio(total);
  const actual = {
    expectedAfter: total.expected,
    varExpectedAfter: total.variance,
    observedAfter: total.observed,
    theta: pooled?.theta,
    thetaSe: pooled?.standardError,
    low: pooled?.low,
    high: pooled?.high,
  };
  return [...cases, { id: "pooled", expected: at(json, "pooled") ?? null, actual, tolerance }];
}

const first = (path: string) => (json: Json) => at(casesOf(json)[0], path) !== undefined;

export const forecastKinds: readonly Kind[] = [
  {
    name: "visits, before and after",
    prefixes: ["before_after"],
    looksLike: first("input.exposureBefore"),
    evaluate: visits,
  },
  {
    name: "forecast of one unit",
    prefixes: ["cases_forecast"],
    looksLike: first("input.priorRateDays"),
    evaluate: forecastCases,
  },
  { name: "scores of forecasts", prefixes: ["forecast_scores"], looksLike: first("input.mu"), evaluate: scoreCases },
  {
    name: "fleets without a fit",
    prefixes: ["gamma_poisson_degenerate"],
    looksLike: (json) => first("input.events")(json) && first("expected.moments")(json),
    evaluate: degenerate,
  },
  { name: "gamma-Poisson fit", prefixes: ["gamma_poisson_pumps"], looksLike: first("input.failures"), evaluate: pumps },
];
