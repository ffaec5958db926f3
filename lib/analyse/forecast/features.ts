import type { SignalState } from "@/lib/analyse/drift/signal-state";
import type { MoveGroup } from "@/lib/analyse/forecast/detector-forecast";
import { countIn, daysIn, type EventRecord } from "@/lib/analyse/forecast/event-record";
import type { DetectorRates, KnownRates } from "@/lib/analyse/forecast/known-rates";
import type { OwnSeason } from "@/lib/analyse/forecast/own-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import type { Task } from "@/lib/records/vocabulary";

/** All that is known of one detector at an origin, from which the features of its row are made. */
export type FeatureSource = {
  readonly history: DetectorHistory;
  readonly record: EventRecord;
  readonly at: number;
  readonly known: KnownRates;
  readonly rates: DetectorRates;
  /** Events of the row's kind a day the plain gamma-Poisson forecast expects, and variance of the rate over its square. */
  readonly baseRate: number;
  readonly baseDoubt: number;
  /** Days of usual season ahead. */
  readonly daysAhead: number;
  readonly season: OwnSeason;
  /** Rate of the other kind of event against the fleet's. */
  readonly otherRatio: number;
  readonly signal: SignalState | null;
  /** Events ahead a model by cause expects; null without one. */
  readonly byCause: number | null;
};

type Feature = {
  readonly name: string;
  readonly group: MoveGroup;
  /** NaN where it cannot be said: such a row counts as usual. */
  readonly valueOf: (source: FeatureSource) => number;
};

const LONG_AGO_DAYS = 1500;
const FRESH_DAYS = 120;

/** What the regression learns from, each beside the plain gamma-Poisson forecast. */
export const features: readonly Feature[] = [
  { name: "rate of 60 days", group: "own history", valueOf: (row) => againstBase(row, 0) },
  { name: "rate of 180 days", group: "own history", valueOf: (row) => againstBase(row, 1) },
  { name: "rate of a year", group: "own history", valueOf: (row) => againstBase(row, 2) },
  { name: "rate of three years", group: "own history", valueOf: (row) => againstBase(row, 3) },
  { name: "rate against its site", group: "own history", valueOf: (row) => Math.log(row.baseRate / siteRate(row)) },
  {
    name: "rate below its site's",
    group: "own history",
    valueOf: (row) => Math.min(0, Math.log(row.baseRate / siteRate(row))),
  },
  { name: "a year without any", group: "own history", valueOf: quietYear },
  { name: "doubt", group: "own history", valueOf: ({ baseDoubt }) => Math.log(baseDoubt) },
  { name: "episodes of 90 days", group: "own history", valueOf: (row) => rawRatio(row, 90) },
  { name: "episodes of a year", group: "own history", valueOf: (row) => rawRatio(row, 365) },
  {
    name: "episodes a cluster",
    group: "own history",
    valueOf: ({ rates, known }) => Math.log(rates.size / known.fleetSize),
  },
  { name: "days since the last", group: "own history", valueOf: daysSinceLast },
  { name: "rate since the last visit", group: "own history", valueOf: sinceVisit },
  { name: "the other kind", group: "own history", valueOf: ({ otherRatio }) => Math.log(otherRatio) },
  { name: "same weeks", group: "season", valueOf: ({ season }) => Math.log(season.factor) },
  {
    name: "same weeks, plain",
    group: "season",
    valueOf: ({ season }) => Math.log((season.count + 1) / (season.expected + 1)),
  },
  {
    name: "margin left",
    group: "signal",
    valueOf: ({ signal }) => (signal ? clamp(signal.marginLeftDb, 0, 3) : Number.NaN),
  },
  {
    name: "last of the margin",
    group: "signal",
    valueOf: ({ signal }) => (signal ? clamp(0.6 - signal.marginLeftDb, 0, 1) : Number.NaN),
  },
  {
    name: "slope",
    group: "signal",
    valueOf: ({ signal }) => (signal ? clamp(signal.slopeDbPerDay * 30, -0.2, 0.6) : Number.NaN),
  },
  { name: "swing", group: "signal", valueOf: ({ signal }) => (signal ? clamp(signal.swingDb, 0, 2) : Number.NaN) },
  { name: "chance of the limit", group: "signal", valueOf: limitAgainstBase },
  { name: "compensation", group: "signal", valueOf: ({ signal }) => compensation(signal, 0) },
  { name: "last of compensation", group: "signal", valueOf: ({ signal }) => compensation(signal, 70) },
  { name: "cleaned", group: "work", valueOf: (row) => freshness(row, ["clean"]) },
  { name: "realigned", group: "work", valueOf: (row) => freshness(row, ["realign"]) },
  { name: "repaired or replaced", group: "work", valueOf: (row) => freshness(row, ["repair", "replace"]) },
  { name: "days since cleaning", group: "work", valueOf: (row) => Math.log1p(daysSinceTask(row, ["clean"])) },
  { name: "realignments", group: "work", valueOf: (row) => Math.log1p(worksOf(row, { days: 730, task: "realign" })) },
  { name: "call-outs", group: "work", valueOf: (row) => Math.log1p(worksOf(row, { days: 365, reactive: true })) },
  { name: "site", group: "site", valueOf: ({ rates }) => Math.log(rates.siteFactor) },
  { name: "environment", group: "site", valueOf: ({ rates }) => Math.log(rates.environmentFactor) },
  { name: "age", group: "build", valueOf: ({ history, at }) => Math.log1p(ageYears(history, at)) },
  { name: "form", group: "build", valueOf: ({ history }) => (history.detector.form === "reflective" ? 1 : 0) },
  {
    name: "path length",
    group: "build",
    valueOf: ({ history }) => Math.log(Math.max(1, history.detector.pathLengthM)),
  },
  { name: "height", group: "build", valueOf: ({ history }) => Math.log(Math.max(1, history.detector.heightM)) },
  { name: "by cause", group: "own history", valueOf: byCauseAgainstBase },
];

/** Years from installation to a moment. */
export function ageYears({ installedAt }: DetectorHistory, at: number): number {
  return Math.max(0, at - installedAt) / (365.25 * DAY_MS);
}

/** Days from the last of some tasks to a moment; at most 1500, which also stands for never. */
export function daysSinceTask({ history, at }: Pick<FeatureSource, "history" | "at">, tasks: readonly Task[]): number {
  const last = history.work.findLast(({ doneAt, task }) => doneAt < at && tasks.includes(task));
  return last ? Math.min(LONG_AGO_DAYS, (at - last.doneAt) / DAY_MS) : LONG_AGO_DAYS;
}

function clamp(value: number, low: number, high: number): number {
  return Math.max(low, Math.min(high, value));
}

function siteRate({ known, rates }: FeatureSource): number {
  return known.fleetRate * rates.siteFactor * rates.environmentFactor * known.fleetSize;
}

function againstBase({ rates, baseRate }: FeatureSource, memory: number): number {
  return Math.log(((rates.shrunk[memory] ?? 0) * rates.size) / baseRate);
}

// Unlike the shrunken rates this grows without bound with the count, so that the fleet's worst are not held down.
function rawRatio({ record, at, known }: FeatureSource, days: number): number {
  const span = { startAt: at - days * DAY_MS, endAt: at };
  const expected = daysIn(record.exposure, span) * known.fleetRate * known.fleetSize;
  return Math.log((countIn(record.episodes, span) + 0.5) / (expected + 0.5));
}

function daysSinceLast({ record, at }: FeatureSource): number {
  const last = record.episodes.findLast((moment) => moment < at) ?? record.exposure[0]?.startAt ?? at;
  return Math.log1p(Math.min(LONG_AGO_DAYS, Math.max(0, at - last) / DAY_MS));
}

// A detector that was switched off for good and one that is merely good look alike in rates that are all low.
function quietYear({ record, at }: FeatureSource): number {
  const span = { startAt: at - 365 * DAY_MS, endAt: at };
  return countIn(record.episodes, span) === 0 && daysIn(record.exposure, span) > 180 ? 1 : 0;
}

const RESETS: readonly Task[] = ["clean", "realign", "repair", "replace", "survey"];

function sinceVisit(row: FeatureSource): number {
  const { record, at, baseRate } = row;
  const days = daysSinceTask(row, RESETS);
  if (days >= LONG_AGO_DAYS) return 0;
  const span = { startAt: at - days * DAY_MS, endAt: at };
  const expected = daysIn(record.exposure, span) * baseRate;
  return Math.log((countIn(record.episodes, span) + 1) / (expected + 1));
}

// Coefficient 1 is the plain sum of base and drift.
function limitAgainstBase({ signal, baseRate, daysAhead }: FeatureSource): number {
  if (signal === null) return Number.NaN;
  return Math.log1p(Math.min(50, signal.chanceOfLimit(daysAhead) / Math.max(1e-3, baseRate * daysAhead)));
}

function compensation(signal: SignalState | null, above: number): number {
  if (signal === null || signal.compensationPct === null) return Number.NaN;
  return Math.max(0, signal.compensationPct - above) / 100;
}

function freshness(row: FeatureSource, tasks: readonly Task[]): number {
  const days = daysSinceTask(row, tasks);
  return days >= LONG_AGO_DAYS ? 0 : Math.exp(-days / FRESH_DAYS);
}

function worksOf(
  { history, at }: FeatureSource,
  { days, task, reactive }: { days: number; task?: Task; reactive?: boolean },
): number {
  const from = at - days * DAY_MS;
  return history.work.filter(
    (work) =>
      work.doneAt < at &&
      work.doneAt >= from &&
      (task === undefined || work.task === task) &&
      (reactive === undefined || work.reactive === reactive),
  ).length;
}

function byCauseAgainstBase({ byCause, baseRate, daysAhead }: FeatureSource): number {
  if (byCause === null) return Number.NaN;
  const plain = baseRate * daysAhead;
  return Math.log((byCause + 0.01 + 0.05 * plain) / (1.05 * plain + 0.01));
}
