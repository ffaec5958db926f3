import { benjaminiHochberg, benjaminiYekutieli, bonferroni, holm } from "@/lib/statistics/benjamini-hochberg";
import { cauchyCombination } from "@/lib/statistics/cauchy-combination";
import { type Alternative, exactRateRatioTest, exactRateTest } from "@/lib/statistics/exact-rate-test";
import { operationalTimes, type Span } from "@/lib/statistics/operational-time";
import { rateRatioTest } from "@/lib/statistics/poisson-rate";
import { powerLaw } from "@/lib/statistics/power-law";
import { risingRateTest } from "@/lib/statistics/rising-rate";
import { milHandbook189 } from "@/lib/statistics/trend";
import { at, casesOf, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

const idOf = (one: Json) => String(at(one, "id") ?? "whole file");
const expectedOf = (one: Json): Json => at(one, "expected") ?? null;

const ALTERNATIVES: Record<string, Alternative> = { "two.sided": "two-sided", greater: "greater", less: "less" };

function rateTest(input: Json | undefined) {
  const [x1 = 0, x2] = numbersAt(input, "counts");
  const [e1 = 0, e2 = 0] = numbersAt(input, "exposures");
  const alternative = ALTERNATIVES[String(at(input, "alternative"))] ?? "two-sided";
  const options = { nullValue: numberAt(input, "ratioNull"), alternative, level: numberAt(input, "conf") };
  const recent = { count: x1, exposure: e1 };
  if (x2 === undefined) {
    const { p, ...rest } = exactRateTest(recent, options);
    return { ...rest, pValue: p };
  }
  const { p, ...rest } = exactRateRatioTest({ recent, baseline: { count: x2, exposure: e2 } }, options);
  return { ...rest, pValue: p };
}

/** p-values that are null were not tested: they are left out and come back as null. */
function adjusted(p: readonly Json[], adjust: (p: readonly number[]) => number[]) {
  const tested = p.filter((value): value is number => typeof value === "number");
  const values = adjust(tested);
  let next = 0;
  return p.map((value) => (value === null ? null : values[next++]));
}

function adjustments(input: Json | undefined) {
  const p = listAt(input, "p");
  const bh = adjusted(p, benjaminiHochberg);
  const all = adjusted(p, bonferroni);
  const rejected = (q: readonly (number | null | undefined)[]) => q.filter((value) => (value ?? 1) <= 0.05).length;
  return {
    bh,
    by: adjusted(p, benjaminiYekutieli),
    holm: adjusted(p, holm),
    bonferroni: all,
    rejectedBH05: rejected(bh),
    rejectedBonferroni05: rejected(all),
  };
}

function rising(input: Json | undefined) {
  const asOf = numberAt(input, "asOf");
  const inService = listAt(input, "inService").map((span): Span => {
    const [start = 0, end = 0] = numbersAt({ span }, "span");
    return [start, end];
  });
  const events = numbersAt(input, "events");
  const { laplace, rateRatio, recent, baseline, ...found } = risingRateTest({
    inService,
    events,
    asOf,
    recentLength: numberAt(input, "recentDays"),
  });
  const { u } = operationalTimes({ inService, events, asOf });
  const hdbk = milHandbook189(u);
  const power = powerLaw({ times: u, end: 1 });
  const exact = rateRatio === null ? null : exactRateRatioTest({ recent, baseline });
  // Where the ratio has no upper limit ours is null; the file writes Infinity.
  const noLimit = (value: number | null | undefined) => value ?? Infinity;
  return {
    n: found.n,
    exposure: found.exposure,
    pLaplaceExact: laplace.pRising,
    laplaceZ: laplace.z,
    pLaplaceNormal: laplace.pRisingNormal,
    milHdbkChiSquare: hdbk.chiSquare,
    pMilHdbkRising: hdbk.pRising,
    beta: power?.betaMle,
    betaLow: power?.betaLow,
    betaHigh: power?.betaHigh,
    recent,
    baseline,
    rateRatio: noLimit(rateRatio?.ratio),
    ratioLow: rateRatio?.low,
    ratioHigh: noLimit(rateRatio?.high),
    pRatioTwoSided: exact?.p,
    pRatioGreater: rateRatio?.pExact,
    pRatioMid: rateRatio?.pMid,
    pCauchy: found.p,
  };
}

const simple = (json: Json, actual: (input: Json | undefined, one: Json) => unknown) =>
  casesOf(json).map((one) => ({
    id: idOf(one),
    expected: expectedOf(one),
    actual: actual(at(one, "input"), one),
    tolerance: numberAt(json, "tolerance"),
  }));

/** The ratio test as the findings use it must agree with the exact test of the same file. */
function rateTests(json: Json) {
  const ours = casesOf(json).flatMap((one) => {
    const [x1 = 0, x2] = numbersAt(one, "input.counts");
    const [e1 = 0, e2 = 0] = numbersAt(one, "input.exposures");
    if (x2 === undefined || at(one, "input.alternative") !== "two.sided" || x1 + x2 === 0) return [];
    const recent = { count: x1, exposure: e1 };
    const found = rateRatioTest({ recent, baseline: { count: x2, exposure: e2 }, level: numberAt(one, "input.conf") });
    const expected = { low: at(one, "expected.low") ?? null, pMidGreater: at(one, "expected.pMidGreater") ?? null };
    const actual = { low: found.low, pMidGreater: found.pMid };
    return [{ id: `${idOf(one)} as a rising ratio`, expected, actual, tolerance: numberAt(json, "tolerance") }];
  });
  return [...simple(json, rateTest), ...ours];
}

const hasInput = (json: Json, key: string) => at(casesOf(json)[0], `input.${key}`) !== undefined;

export const rateKinds: readonly Kind[] = [
  {
    name: "exact Poisson rate and ratio tests",
    prefixes: ["poisson_rate_tests"],
    looksLike: (json) => hasInput(json, "counts") && hasInput(json, "ratioNull"),
    evaluate: rateTests,
  },
  {
    name: "multiple-test adjustments",
    prefixes: ["benjamini_hochberg"],
    looksLike: (json) => at(casesOf(json)[0], "expected.bh") !== undefined,
    evaluate: (json) => simple(json, adjustments),
  },
  {
    name: "Cauchy combination",
    prefixes: ["cauchy_combination"],
    looksLike: (json) => hasInput(json, "p") && at(casesOf(json)[0], "expected.p") !== undefined,
    evaluate: (json) => simple(json, (input) => ({ p: cauchyCombination(numbersAt(input, "p")) })),
  },
  {
    name: "rising rate of one unit",
    prefixes: ["cases_rising"],
    looksLike: (json) => hasInput(json, "inService"),
    evaluate: (json) => simple(json, rising),
  },
];
