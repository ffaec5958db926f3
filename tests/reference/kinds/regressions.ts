import { binarySegmentation, changePoints, differenceSigma } from "@/lib/statistics/change-points";
import { cusum } from "@/lib/statistics/cusum";
import { inversePrediction, type LinearFit, leastSquares, predict } from "@/lib/statistics/least-squares";
import type { Evaluated } from "./compare";
import { at, casesOf, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

function fitOf(one: Json): LinearFit {
  const rows = listAt(one, "input.x").map((x) => [1, ...numbersAt({ x }, "x")]);
  const fit = leastSquares({ x: rows, y: numbersAt(one, "input.y") });
  if (fit === null) throw new Error("the reference regression cannot be singular");
  return fit;
}

function certified(fit: LinearFit) {
  const regression = fit.totalSumOfSquares - fit.residualSumOfSquares;
  const [intercept, slope] = fit.coefficients;
  const [interceptSe, slopeSe] = fit.standardErrors ?? [];
  return {
    coef: fit.coefficients,
    se: fit.standardErrors,
    intercept,
    slope,
    interceptSe,
    slopeSe,
    residualSd: fit.residualSd,
    rSquared: regression / fit.totalSumOfSquares,
    regressionSS: regression,
    residualSS: fit.residualSumOfSquares,
    fStatistic: regression / (fit.coefficients.length - 1) / (fit.residualSd ?? Number.NaN) ** 2,
  };
}

function predictions(fit: LinearFit, one: Json) {
  const level = numberAt(one, "input.level");
  const bands = numbersAt(one, "input.newX").map((x) => predict(fit, [1, x], { level }));
  const inverse = inversePrediction(fit, { y: numberAt(one, "input.inverseAtY"), level });
  return {
    fit: bands.map((band) => band?.fit),
    predLow: bands.map((band) => band?.low),
    predHigh: bands.map((band) => band?.high),
    meanLow: bands.map((band) => band?.meanLow),
    meanHigh: bands.map((band) => band?.meanHigh),
    inverseX: inverse?.x,
    inverseLow: inverse?.low,
    inverseHigh: inverse?.high,
  };
}

function regressions(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const fit = fitOf(one);
    const relative = at(one, "relativeTolerance") !== undefined;
    return {
      id: String(at(one, "id")),
      expected: at(one, "expected") ?? null,
      actual: at(one, "input.newX") === undefined ? certified(fit) : predictions(fit, one),
      tolerance: numberAt(one, relative ? "relativeTolerance" : "tolerance"),
      relative,
    };
  });
}

/** Squares and information criterion of the best divisions into 1, 2, 3 stretches of at least 15 of 100 values. */
function nileBreaks(y: readonly number[]) {
  const n = y.length;
  const rss = [1e9, 2e5, 3e4].map((penalty) => {
    const { starts, objective } = changePoints(y, { penalty, minSegment: 15 });
    return objective - penalty * starts.length;
  });
  const bic = rss.map((squares, m) => {
    const logLikelihood = (-n / 2) * (Math.log(squares) + 1 - Math.log(n) + Math.log(2 * Math.PI));
    return -2 * logLikelihood + Math.log(n) * 2 * (m + 1);
  });
  const breakpoints = changePoints(y, { penalty: 2e5, minSegment: 15 }).starts;
  return { breakpoints, year: 1870 + (breakpoints[0] ?? 0), rss, bic };
}

function levels(json: Json): Evaluated[] {
  const tolerance = numberAt(json, "tolerance");
  const cases = casesOf(json).map((one): Evaluated => {
    const y = numbersAt(one, "input.y");
    const sigmaMadDiff = differenceSigma(y);
    const penalty = numberAt(one, "input.penaltyMultiplier") * sigmaMadDiff ** 2 * Math.log(y.length);
    const options = { penalty, minSegment: numberAt(one, "input.minSegment") };
    const { starts, objective } = changePoints(y, options);
    const halved = binarySegmentation(y, options).starts;
    // The start of a segment counted from 0 is the last index of the one before counted from 1.
    const actual = { sigmaMadDiff, penalty, changeAfterIndex: starts, objective, binarySegmentation: halved };
    return { id: String(at(one, "id")), expected: at(one, "expected") ?? null, actual, tolerance };
  });
  const nile = at(json, "strucchangeNile");
  if (nile === undefined) return cases;
  const actual = nileBreaks(numbersAt(casesOf(json)[0], "input.y"));
  return [...cases, { id: "strucchange", expected: nile, actual, tolerance }];
}

function sums(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const limits = { target: numberAt(one, "input.target"), k: numberAt(one, "input.k"), h: numberAt(one, "input.h") };
    const found = cusum(numbersAt(one, "input.x"), limits);
    const fromOne = (index: number | null) => (index === null ? null : index + 1);
    const actual = { ...found, firstHigh: fromOne(found.firstHigh), firstLow: fromOne(found.firstLow) };
    const expected = at(one, "expected") ?? null;
    return { id: String(at(one, "id")), expected, actual, tolerance: numberAt(json, "tolerance") };
  });
}

const first = (path: string) => (json: Json) => at(casesOf(json)[0], path) !== undefined;

export const regressionKinds: readonly Kind[] = [
  {
    name: "certified linear regression",
    prefixes: ["nist_strd"],
    looksLike: (json) => first("input.x")(json) && first("relativeTolerance")(json),
    evaluate: regressions,
  },
  {
    name: "changes of level",
    prefixes: ["change_points"],
    looksLike: first("input.penaltyMultiplier"),
    evaluate: levels,
  },
  { name: "cumulative sums", prefixes: ["cusum"], looksLike: first("input.target"), evaluate: sums },
];
