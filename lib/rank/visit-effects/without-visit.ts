import type { Cause } from "@/lib/analyse/modes/cause";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { PreventiveTask } from "@/lib/rank/effects";
import { CalibrationClasses, classOf } from "@/lib/rank/visit-effects/calibration-classes";
import { type CauseRate, type CauseRecord, causeRates, sharesOf } from "@/lib/rank/visit-effects/cause-record";
import { countsAt, FEATURES, featuresOf, stateAt, stepOn } from "@/lib/rank/visit-effects/features";
import { aftermathMs, type PastVisit, pastVisits } from "@/lib/rank/visit-effects/past-visits";
import { penalisedPoisson } from "@/lib/rank/visit-effects/penalised-poisson";

/**
 * Events expected of a cause, variance of a count over its mean, relative variance of the expectation itself, and the
 * class of the record it rests on.
 */
export type Expected = {
  readonly mean: number;
  readonly dispersion: number;
  readonly relativeVariance: number;
  readonly recordClass: string;
};

/** What a fleet's unvisited time says of every cause in it. */
export type WithoutVisit = {
  readonly causes: readonly Cause[];
  /** Events of a cause expected over a span after the record before `knownAt`, had nobody come. */
  readonly expected: (record: CauseRecord, of: { cause: Cause; knownAt: number; span: Span }) => Expected;
};

const STEP_DAYS = 15;
const LEAST_BEFORE_DAYS = 60;
const LEAST_EVENTS = 5;
const MOST_QUIET_CELLS = 20_000;
// Rates of before carry over in part each (they overlap); signal and season say nothing until the fleet's records do.
const centre = [0.2, 0.4, 0.4, 0, 0, 0, 0, 0];
const SPREAD = 0.5;

/** Whether a record reaches back far enough before a moment for anything to be expected after it. */
export function isKnownAt(record: CauseRecord, at: number): boolean {
  return lengthOf(within(record.atRisk, { startAt: 0, endAt: at })) >= LEAST_BEFORE_DAYS * DAY_MS;
}

/**
 * A model of what follows a record when nobody comes, fitted on the fleet's own unvisited time; null where that holds
 * fewer than five events.
 *
 * All time of all detectors, but half a year after each visit that touches the cause, is cut into steps of 15 days. A log-linear Poisson model
 * over all causes predicts each step from the record up to it, and classes of equal record correct it by observed over
 * expected. A longer time is predicted step by step, each step's expected events joining the record. As every step
 * stands against the record just before it, a visit that ends a bad stretch early takes nothing away from the rest:
 * what follows bad months by itself, better or worse, is read off all the time in which nobody had come yet.
 */
export function fitWithoutVisit(
  records: readonly CauseRecord[],
  { horizonDays, touches }: Pick<Unvisited, "horizonDays" | "touches">,
): WithoutVisit | null {
  const rates = causeRates(records);
  const cells = unvisitedCells(records, { rates, horizonDays, touches });
  if (cells.counts.reduce((sum, count) => sum + count, 0) < LEAST_EVENTS) return null;
  const [intercept = 0, ...slopes] = penalisedPoisson({ columns: FEATURES, ...cells }, { centre, spread: SPREAD });
  const relativeRate = (row: ArrayLike<number>, from: number) =>
    Math.exp(slopes.reduce((sum, slope, j) => sum + slope * (row[from + j] ?? 0), intercept));
  const classes = new CalibrationClasses();
  for (const [index, count] of cells.counts.entries()) {
    const from = index * FEATURES;
    const mean = (cells.offsets[index] ?? 0) * relativeRate(cells.rows, from);
    const weight = cells.weights[index] ?? 1;
    classes.add(cells.rows.subarray(from, from + FEATURES), { count, mean, weight });
  }
  const expected: WithoutVisit["expected"] = (record, { cause, knownAt, span }) => {
    const rate = rates.get(cause);
    if (rate === undefined) return nothing;
    let now = { state: stateAt(record, knownAt), counts: countsAt(record, { at: knownAt, cause }) };
    const sums = { mean: 0, noise: 0, doubt: 0 };
    const recordClass = classOf(featuresOf(now, { cause, rate }));
    for (let startAt = span.startAt; startAt < span.endAt; startAt += STEP_DAYS * DAY_MS) {
      const step = { startAt, endAt: Math.min(span.endAt, startAt + STEP_DAYS * DAY_MS) };
      const atRiskDays = lengthOf(within(record.atRisk, step)) / DAY_MS;
      const row = featuresOf(now, { cause, rate });
      const { ratio, dispersion, relativeVariance } = classes.of(row);
      const mean = ratio * rate.perDay * atRiskDays * relativeRate(row, 0);
      sums.mean += mean;
      sums.noise += mean * dispersion;
      sums.doubt += mean * relativeVariance;
      now = stepOn(now, { days: (step.endAt - startAt) / DAY_MS, atRiskDays, expected: mean });
    }
    if (!(sums.mean > 0)) return nothing;
    return {
      mean: sums.mean,
      dispersion: sums.noise / sums.mean,
      relativeVariance: sums.doubt / sums.mean,
      recordClass,
    };
  };
  return { causes: [...rates.keys()], expected };
}

/** What counts as unvisited: time outside the aftermath of any visit whose task touches the cause. */
type Unvisited = {
  readonly rates: ReadonlyMap<Cause, CauseRate>;
  readonly horizonDays: number;
  readonly touches: (task: PreventiveTask, cause: Cause) => boolean;
};

const nothing: Expected = { mean: 0, dispersion: 1, relativeVariance: 0, recordClass: "" };

type Cell = {
  readonly row: readonly number[];
  readonly count: number;
  readonly offset: number;
  readonly weight: number;
};

// Steps without any event are most of all and say little each: beyond a number, each stands for several.
function unvisitedCells(records: readonly CauseRecord[], { rates, ...touching }: Unvisited) {
  const stepsOf = records.map((record) => stepsUpTo(record));
  const quietCells = stepsOf.reduce((sum, steps) => sum + steps.length, 0) * rates.size;
  const each = Math.max(1, Math.ceil(quietCells / MOST_QUIET_CELLS));
  const cells: Cell[] = [];
  let index = 0;
  for (const [number, record] of records.entries()) {
    const visits = pastVisits(record.history);
    const visitsByCause = [...rates.keys()].map((cause) => ({
      cause,
      visits: visits.filter(({ tasks }) => tasks.some((task) => touching.touches(task, cause))),
    }));
    for (const step of stepsOf[number] ?? []) {
      // Which steps stand for others must not depend on the record.
      index += 1;
      const kept = (index * 7919) % each === 0;
      addCells(cells, { record, step, kept, each, visitsByCause, rates, horizonDays: touching.horizonDays });
    }
  }
  const column = (of: (cell: Cell) => number) => Float64Array.from(cells, of);
  const rows = new Float64Array(cells.length * FEATURES);
  for (const [at, { row }] of cells.entries()) rows.set(row, at * FEATURES);
  return {
    rows,
    counts: column(({ count }) => count),
    offsets: column(({ offset }) => offset),
    weights: column(({ weight }) => weight),
  };
}

function stepsUpTo(record: CauseRecord): Span[] {
  const { asOf } = record.history;
  const first = record.atRisk[0]?.startAt ?? asOf;
  const steps: Span[] = [];
  for (let endAt = asOf; endAt > first; endAt -= STEP_DAYS * DAY_MS) {
    const step = { startAt: endAt - STEP_DAYS * DAY_MS, endAt };
    if (isKnownAt(record, step.startAt)) steps.push(step);
  }
  return steps;
}

function addCells(
  cells: Cell[],
  {
    record,
    step,
    kept,
    each,
    visitsByCause,
    rates,
    horizonDays,
  }: {
    record: CauseRecord;
    step: Span;
    kept: boolean;
    each: number;
    visitsByCause: readonly { readonly cause: Cause; readonly visits: readonly PastVisit[] }[];
    rates: ReadonlyMap<Cause, CauseRate>;
    horizonDays: number;
  },
): void {
  const inside = record.events.filter(({ at }) => at >= step.startAt && at < step.endAt);
  if (inside.length === 0 && !kept) return;
  const state = stateAt(record, step.startAt);
  const parts = within(record.atRisk, step);
  const afterMs = aftermathMs(horizonDays);
  for (const { cause, visits } of visitsByCause) {
    const rate = rates.get(cause);
    const treated = visits.some(({ at, until }) => at <= step.startAt && step.startAt < until + afterMs);
    if (rate === undefined || treated) continue;
    const endAt = Math.min(step.endAt, visits.find(({ at }) => at > step.startAt)?.at ?? Infinity);
    const count = sharesOf(
      inside.filter(({ at }) => at < endAt),
      cause,
    );
    if (count === 0 && !kept) continue;
    const days = lengthOf(within(parts, { startAt: step.startAt, endAt })) / DAY_MS;
    if (!(days > 0)) continue;
    const counts = countsAt(record, { at: step.startAt, cause });
    const row = featuresOf({ state, counts }, { cause, rate });
    cells.push({ row, count, offset: rate.perDay * days, weight: count === 0 ? each : 1 });
  }
}
