import { mannKendall, type Series } from "@/lib/statistics/mann-kendall";
import { fallsToLimitAt, predictOnLastSegment, segmentedLine } from "@/lib/statistics/segmented-line";
import { segmentedTheilSen, theilSen } from "@/lib/statistics/slope";
import type { Evaluated } from "./compare";
import { at, casesOf, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

const YEAR_DAYS = 365.25;

const seriesOf = (json: Json | undefined): Series => ({ t: numbersAt(json, "t"), y: numbersAt(json, "y") });

const evaluated = (json: Json, actual: (one: Json) => unknown): Evaluated[] =>
  casesOf(json).map((one) => ({
    id: String(at(one, "id")),
    expected: at(one, "expected") ?? null,
    actual: actual(one),
    tolerance: numberAt(json, "tolerance"),
  }));

function oneSeries(one: Json) {
  const series = seriesOf(at(one, "input"));
  const test = mannKendall(series);
  const line = theilSen(series);
  return {
    ...test,
    pTwoSidedNormal: test.pTwoSided,
    slope: line.slope,
    intercept: line.intercept,
    nSlopes: line.nSlopes,
    slopeLow: line.low,
    slopeHigh: line.high,
    conf: 0.95,
  };
}

/** Rounded ranks as that package takes them; its intercept is median(y) - slope median(t). */
function roundedRanks(one: Json) {
  const series = seriesOf(at(one, "input"));
  const { slope, low, high } = theilSen(series, { ranks: "rounded" });
  const intercept = (middle(series.y) ?? 0) - (slope ?? 0) * (middle(series.t) ?? 0);
  return { slope, low, high, interceptSciPy: intercept };
}

function middle(values: readonly number[]): number | undefined {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half];
  if (upper === undefined || sorted.length % 2 === 1) return upper;
  return ((sorted[half - 1] ?? upper) + upper) / 2;
}

function pooled(one: Json) {
  const found = segmentedTheilSen({ segments: listAt(one, "input.segments").map(seriesOf) });
  const { low: slopeLow, high: slopeHigh, pTwoSided: pTwoSidedNormal, slope } = found;
  return { ...found, slopePerDay: slope, slopeLow, slopeHigh, pTwoSidedNormal, conf: 0.95 };
}

function drift(one: Json) {
  const segments = listAt(one, "input.segments").map(seriesOf);
  const theilSenPart = pooled(one);
  if (at(one, "expected.joint") === undefined) return { theilSen: theilSenPart };
  const line = segmentedLine({ segments, period: YEAR_DAYS });
  const atDay = (segments.at(-1)?.t.at(-1) ?? 0) + 90;
  const ahead = line && predictOnLastSegment(line, atDay, { level: 0.9 });
  const joint = line && {
    ...line,
    slopePerDay: line.slope,
    atDay,
    fit: ahead?.fit,
    low90: ahead?.low,
    high90: ahead?.high,
    dayAtLimitTrendOnly: fallsToLimitAt(line, numberAt(one, "input.limit")),
  };
  return { theilSen: theilSenPart, joint };
}

const first = (path: string) => (json: Json) => at(casesOf(json)[0], path) !== undefined;

export const slopeKinds: readonly Kind[] = [
  {
    name: "Mann-Kendall and Theil-Sen",
    prefixes: ["mann_kendall"],
    looksLike: (json) => first("input.t")(json) && first("expected.varS")(json),
    evaluate: (json) => evaluated(json, oneSeries),
  },
  {
    name: "Theil-Sen with rounded ranks",
    prefixes: ["theil_sen_scipy"],
    looksLike: first("expected.interceptSciPy"),
    evaluate: (json) => evaluated(json, roundedRanks),
  },
  {
    name: "drift of one unit",
    prefixes: ["cases_drift"],
    looksLike: (json) => first("input.segments")(json) && first("input.limit")(json),
    evaluate: (json) => evaluated(json, drift),
  },
  {
    name: "Theil-Sen over segments",
    prefixes: ["segmented_theil_sen"],
    looksLike: first("input.segments"),
    evaluate: (json) => evaluated(json, pooled),
  },
];
