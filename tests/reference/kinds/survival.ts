import { exactRateTest } from "@/lib/statistics/exact-rate-test";
import { logRank } from "@/lib/statistics/log-rank";
import {
  type MeanCumulativeFunction,
  meanCumulativeFunction,
  type WatchedUnit,
} from "@/lib/statistics/mean-cumulative-function";
import { compareToExpected, oneSampleLogRank } from "@/lib/statistics/observed-expected";
import type { Span } from "@/lib/statistics/operational-time";
import { kaplanMeier, nelsonAalen, restrictedMean, type Spell, survivalAt } from "@/lib/statistics/survival";
import type { Evaluated } from "./compare";
import { at, casesOf, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

function spells(json: Json | undefined, times: string, events: string): Spell[] {
  const ended = numbersAt(json, events);
  return numbersAt(json, times).map((stop, i) => ({ stop, event: ended[i] === 1 }));
}

const whole = (json: Json, actual: unknown): Evaluated[] => [
  { id: "whole file", expected: at(json, "expected") ?? null, actual, tolerance: numberAt(json, "tolerance") },
];

function curve(group: readonly Spell[], tau: number) {
  const doubled = kaplanMeier(group);
  const log = kaplanMeier(group, { scale: "log" });
  return {
    time: doubled.time,
    nRisk: doubled.atRisk,
    nEvent: doubled.events,
    survival: doubled.survival,
    stdErrGreenwood: doubled.standardError,
    lowLogLog: doubled.low,
    highLogLog: doubled.high,
    lowLog: log.low,
    highLog: log.high,
    nelsonAalen: nelsonAalen(group).value,
    median: doubled.median,
    medianLow: doubled.medianLow,
    medianHigh: doubled.medianHigh,
    rmst: restrictedMean(doubled, tau),
    rmstTau: tau,
  };
}

function twoCurves(json: Json) {
  const all = spells(json, "input.time", "input.event");
  const group = numbersAt(json, "input.group");
  const control = all.filter((_, i) => group[i] === 0);
  const treated = all.filter((_, i) => group[i] === 1);
  return whole(json, {
    km6MP: curve(treated, numberAt(json, "expected.km6MP.rmstTau")),
    kmControl: curve(control, numberAt(json, "expected.kmControl.rmstTau")),
    logRank: logRank([control, treated]),
  });
}

function fourGroups(json: Json) {
  const all = spells(json, "input.time", "input.event");
  const group = numbersAt(json, "input.group");
  const labels = [...new Set(group)].sort((a, b) => a - b);
  return whole(json, logRank(labels.map((label) => all.filter((_, i) => group[i] === label))));
}

function oneSample(json: Json) {
  const reference = nelsonAalen(spells(json, "input.referenceTime", "input.referenceEvent"));
  const found = oneSampleLogRank({ gaps: spells(json, "input.time", "input.event"), reference });
  const { observed, expected } = found;
  const pTwoSided = exactRateTest({ count: observed, exposure: expected }).p;
  return whole(json, { ...found, pTwoSided, zScore: (observed - expected) / Math.sqrt(expected) });
}

function repeats(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const fleet = spells(one, "input.fleetDays", "input.fleetEvent");
    const gaps = spells(one, "input.detectorDays", "input.detectorEvent");
    const found = oneSampleLogRank({ gaps, reference: nelsonAalen(fleet) });
    const fleetCurve = kaplanMeier(fleet);
    const { survival, low, high } = survivalAt(fleetCurve, 180);
    const two = logRank([gaps, fleet]);
    const testable = found.expected > 0;
    const actual = {
      ...compareToExpected(found),
      pTwoSided: testable ? exactRateTest({ count: found.observed, exposure: found.expected }).p : null,
      fleetMedian: fleetCurve.median,
      fleetMedianLow: fleetCurve.medianLow,
      fleetMedianHigh: fleetCurve.medianHigh,
      fleetSurvival180: survival,
      fleetSurvival180Low: low,
      fleetSurvival180High: high,
      logRank: {
        observedDetector: two.observed[0],
        expectedDetector: two.expected[0],
        variance: two.variance,
        chiSquare: two.chiSquare,
        p: two.p,
      },
    };
    const expected = at(one, "expected") ?? null;
    return { id: String(at(one, "id")), expected, actual, tolerance: numberAt(json, "tolerance") };
  });
}

function named(mcf: MeanCumulativeFunction) {
  return { time: mcf.time, nRisk: mcf.atRisk, nEvent: mcf.events, mcf: mcf.mean, seRobust: mcf.standardError };
}

/** Rows of one unit each become its spans and events; `end` rows without an event only close the watch. */
function unitsOf(rows: readonly { id: number; span: Span | null; event: number | null }[]): WatchedUnit[] {
  const units = new Map<number, { watched: Span[]; events: number[] }>();
  for (const { id, span, event } of rows) {
    const unit = units.get(id) ?? { watched: [], events: [] };
    if (span !== null) unit.watched.push(span);
    if (event !== null) unit.events.push(event);
    units.set(id, unit);
  }
  return [...units.values()];
}

function bladder(json: Json) {
  const start = numbersAt(json, "input.start");
  const stop = numbersAt(json, "input.stop");
  const event = numbersAt(json, "input.event");
  const treatment = numbersAt(json, "input.rx");
  const rows = numbersAt(json, "input.id").map((id, i): { id: number; span: Span; event: number | null } => ({
    id,
    span: [start[i] ?? 0, stop[i] ?? 0],
    event: event[i] === 1 ? (stop[i] ?? 0) : null,
  }));
  const arm = (rx: number) => named(meanCumulativeFunction(unitsOf(rows.filter((_, i) => treatment[i] === rx))));
  return whole(json, { placebo: arm(1), thiotepa: arm(2) });
}

function valveSeats(json: Json) {
  const days = numbersAt(json, "input.days");
  const replaced = numbersAt(json, "input.replacement");
  const rows = numbersAt(json, "input.id").map((id, i): { id: number; span: Span | null; event: number | null } => ({
    id,
    span: replaced[i] === 0 ? [0, days[i] ?? 0] : null,
    event: replaced[i] === 0 ? null : (days[i] ?? 0),
  }));
  const mcf = meanCumulativeFunction(unitsOf(rows));
  return whole(json, {
    ...named(mcf),
    sePoisson: mcf.standardErrorPoisson,
    lowLog: mcf.low,
    highLog: mcf.high,
    lowNormal: mcf.lowPlain,
    highNormal: mcf.highPlain,
    conf: 0.95,
  });
}

function mcfCases(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const ends = numbersAt(one, "input.endDays");
    const events = listAt(one, "input.eventDays");
    const units = ends.map(
      (end, i): WatchedUnit => ({
        watched: [[0, end]],
        events: numbersAt({ days: events[i] ?? null }, "days"),
      }),
    );
    const mcf = meanCumulativeFunction(units);
    const actual = { ...named(mcf), low: mcf.low, high: mcf.high };
    const expected = at(one, "expected") ?? null;
    return { id: String(at(one, "id")), expected, actual, tolerance: numberAt(json, "tolerance") };
  });
}

const has = (path: string) => (json: Json) => at(json, path) !== undefined;
const hasInCases = (key: string) => (json: Json) => at(casesOf(json)[0], `input.${key}`) !== undefined;

export const survivalKinds: readonly Kind[] = [
  {
    name: "Kaplan-Meier and log-rank of two groups",
    prefixes: ["kaplan_meier"],
    looksLike: has("expected.km6MP"),
    evaluate: twoCurves,
  },
  {
    name: "log-rank of several groups",
    prefixes: ["logrank_"],
    looksLike: (json) => has("input.group")(json) && has("expected.chiSquare")(json),
    evaluate: fourGroups,
  },
  {
    name: "observed against expected",
    prefixes: ["one_sample_logrank"],
    looksLike: has("input.referenceTime"),
    evaluate: oneSample,
  },
  {
    name: "repeats of one unit",
    prefixes: ["cases_realign"],
    looksLike: hasInCases("detectorDays"),
    evaluate: repeats,
  },
  {
    name: "mean cumulative function with late entry",
    prefixes: ["mcf_bladder"],
    looksLike: has("input.rx"),
    evaluate: bladder,
  },
  {
    name: "mean cumulative function",
    prefixes: ["mcf_valve"],
    looksLike: has("input.replacement"),
    evaluate: valveSeats,
  },
  {
    name: "mean cumulative function, seeded",
    prefixes: ["cases_mcf"],
    looksLike: hasInCases("endDays"),
    evaluate: mcfCases,
  },
];
