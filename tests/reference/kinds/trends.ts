import { normalUpper } from "@/lib/statistics/distributions";
import { exactRateRatioTest } from "@/lib/statistics/exact-rate-test";
import { logLinearTrend } from "@/lib/statistics/log-linear-trend";
import { inversionsCdf } from "@/lib/statistics/mann-kendall";
import { rateChangeAtEvent, rateChangeInCells } from "@/lib/statistics/poisson-change-point";
import { groupedPowerLaw, meanTimeAtEnd, powerLaw, powerLawDistance } from "@/lib/statistics/power-law";
import { edgeworthUpper, laplaceTest, milHandbook189, uniformSumUpper } from "@/lib/statistics/trend";
import { at, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

function laplaceRows(json: Json) {
  return listAt(json, "expected").map((row) => {
    const [n = 0, s = 0, z = 0, exact = 0, normal = 0, edgeworth = 0] = numbersAt({ row }, "row");
    return {
      id: `n ${n}, sum ${s}`,
      expected: { exact, normal, edgeworth },
      actual: { exact: uniformSumUpper(s, n), normal: normalUpper(z), edgeworth: edgeworthUpper(z, n) },
      tolerance: numberAt(json, "tolerance"),
    };
  });
}

function laplaceAndHandbook(u: readonly number[]) {
  const { pRisingNormal, z, n } = laplaceTest(u);
  const pTwoSidedNormal = z === null ? 1 : 2 * normalUpper(Math.abs(z));
  return { laplace: { n, z, pRisingNormal, pTwoSidedNormal }, milHdbk189: milHandbook189(u) };
}

function trendFits(times: readonly number[], length: number) {
  const u = times.map((time) => time / length);
  const fit = logLinearTrend(u);
  return {
    ...laplaceAndHandbook(u),
    powerLaw: { ...powerLaw({ times, end: length }), conf: 0.95 },
    powerLaw90: { ...powerLaw({ times, end: length }, { level: 0.9 }), conf: 0.9 },
    powerLaw80: { ...powerLaw({ times, end: length }, { level: 0.8 }), conf: 0.8 },
    logLinear: fit && {
      bOverWindow: fit.b,
      bPerUnit: fit.b / length,
      ratioEndToStart: fit.ratioEndToStart,
      lrt: fit.lrt,
      pTwoSidedLrt: fit.pTwoSided,
      signedRoot: fit.signedRoot,
      bLow: fit.low,
      bHigh: fit.high,
      conf: 0.95,
    },
    cramerVonMises: powerLawDistance({ times, end: length }),
  };
}

/** Reverse arrangements of the gaps between events: pairs of gaps that grow. Few of them mean a rising rate. */
function reverseArrangements(times: readonly number[]) {
  const gaps = times.map((time, i) => time - (times[i - 1] ?? 0));
  const n = gaps.length;
  const reversals = gaps.reduce((sum, gap, i) => sum + gaps.slice(i + 1).filter((later) => later > gap).length, 0);
  const expectedUnderNull = (n * (n - 1)) / 4;
  const variance = ((2 * n + 5) * n * (n - 1)) / 72;
  return {
    reversals,
    expectedUnderNull,
    variance,
    zWithContinuity: (reversals - expectedUnderNull + 0.5) / Math.sqrt(variance),
    pRisingExact: inversionsCdf(reversals, n),
  };
}

function individualTimes(json: Json) {
  const times = numbersAt(json, "input.times");
  const end = numberAt(json, "input.end");
  const mtbf = meanTimeAtEnd({ times, end }, { level: 0.8 });
  const bHat = powerLaw({ times, end })?.betaUnbiased ?? Number.NaN;
  const actual = {
    ...trendFits(times, end),
    reverseArrangement: reverseArrangements(times),
    mtbf: { current: mtbf?.mean, low80: mtbf?.low, high80: mtbf?.high },
    modifiedMle: { bHat, oneMinusB: 1 - bHat, aHat: times.length / end ** bHat },
  };
  return [
    { id: "individual times", expected: at(json, "expected") ?? null, actual, tolerance: numberAt(json, "tolerance") },
  ];
}

function coal(json: Json) {
  const dates = numbersAt(json, "input.dates");
  const start = numberAt(json, "input.start");
  const end = numberAt(json, "input.end");
  const first = dates[0] ?? start;
  const length = (dates.at(-1) ?? end) - first;
  // Failure-truncated: the first and the last event are the ends of the watch, so neither counts.
  const inner = dates.slice(1, -1).map((date) => (date - first) / length);
  const cells = rateChangeInCells(numbersAt(json, "input.annualCounts"));
  const moment = rateChangeAtEvent(dates, { start, end });
  const [after = 0, before = 0] = numbersAt(json, "expected.rateRatioAfterVsBefore1891.counts");
  const [yearsAfter = 0, yearsBefore = 0] = numbersAt(json, "expected.rateRatioAfterVsBefore1891.exposures");
  const counts = { recent: { count: after, exposure: yearsAfter }, baseline: { count: before, exposure: yearsBefore } };
  const ratio = exactRateRatioTest(counts);
  const actual = {
    nEvents: dates.length,
    windowA: trendFits(
      dates.map((date) => date - start),
      end - start,
    ),
    windowB: { nUsed: inner.length, length, ...laplaceAndHandbook(inner) },
    changePointAnnual: {
      k: cells?.before,
      lastYearBefore: numberAt(json, "input.annualFirstYear") + (cells?.before ?? 0) - 1,
      rateBefore: cells?.rateBefore,
      rateAfter: cells?.rateAfter,
      logLikRatio2: cells?.logLikelihoodRatio2,
    },
    changePointContinuous: {
      index: moment?.before,
      date: dates[(moment?.before ?? 0) - 1],
      logLikRatio2: moment?.logLikelihoodRatio2,
    },
    rateRatioAfterVsBefore1891: {
      counts: [after, before],
      exposures: [yearsAfter, yearsBefore],
      ratio: ratio.estimate,
      low: ratio.low,
      high: ratio.high,
      pTwoSided: ratio.p,
      pLess: exactRateRatioTest(counts, { alternative: "less" }).p,
    },
  };
  return [{ id: "coal", expected: at(json, "expected") ?? null, actual, tolerance: numberAt(json, "tolerance") }];
}

function grouped(json: Json) {
  const actual = groupedPowerLaw({ ends: numbersAt(json, "input.ends"), counts: numbersAt(json, "input.counts") });
  return [{ id: "grouped", expected: at(json, "expected") ?? null, actual, tolerance: numberAt(json, "tolerance") }];
}

export const trendKinds: readonly Kind[] = [
  {
    name: "sum of uniforms",
    prefixes: ["laplace_exact"],
    looksLike: (json) => at(json, "input") === "rows" && listAt(json, "expected").length > 0,
    evaluate: laplaceRows,
  },
  {
    name: "trend tests on individual times",
    prefixes: ["mil_hdbk_189_appendix", "nist_8234"],
    looksLike: (json) => at(json, "input.times") !== undefined && at(json, "input.end") !== undefined,
    evaluate: individualTimes,
  },
  {
    name: "power law on grouped counts",
    prefixes: ["mil_hdbk_189_grouped"],
    looksLike: (json) => at(json, "input.ends") !== undefined,
    evaluate: grouped,
  },
  {
    name: "disasters over a century",
    prefixes: ["coal_mining"],
    looksLike: (json) => at(json, "input.annualCounts") !== undefined,
    evaluate: coal,
  },
];
