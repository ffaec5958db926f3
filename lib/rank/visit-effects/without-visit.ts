import { DAY_MS } from "@/lib/kernel/units";
import { CalibrationClasses, classOf } from "@/lib/rank/visit-effects/calibration-classes";
import { type CauseRate, type CauseRecord, causeRates } from "@/lib/rank/visit-effects/cause-record";
import {
  daysWithin,
  FEATURES,
  MEMORIES,
  type Moment,
  memoriesDays,
  writeFeatures,
} from "@/lib/rank/visit-effects/features";
import { carried, type PathStep } from "@/lib/rank/visit-effects/path-after";
import { penalisedPoisson } from "@/lib/rank/visit-effects/penalised-poisson";
import { type Unvisited, unvisitedCells } from "@/lib/rank/visit-effects/unvisited-cells";

/**
 * Events expected of a cause, variance of a count over its mean, relative variance of the expectation itself, and the
 * class of the record it rests on.
 */
export type Expected = {
  readonly mean: number;
  readonly dispersion: number;
  readonly relativeVariance: number;
  readonly recordClass: number;
};

/** What a fleet's unvisited time says of every cause in it. */
export type WithoutVisit = {
  /** Events of a cause (by its place) expected up to `endAt` along the path after a moment, had nobody come. */
  readonly expected: (
    record: CauseRecord,
    of: { place: number; moment: Moment; path: readonly PathStep[]; endAt: number },
  ) => Expected;
};

/**
 * How many times the highest rate on a detector's record (of any memory, or the fleet's) it may come to in a horizon;
 * a rate that doubles in 60 days gets there in 90. Choice.
 */
export const MOST_RISE = 3;

const LEAST_EVENTS = 5;
// Rates of before carry over in part each (they overlap); signal and season say nothing until the fleet's records do.
const centre = [0.2, 0.4, 0.4, 0, 0, 0, 0, 0];
const SPREAD = 0.5;

/**
 * A model of what follows a record when nobody comes, fitted on the fleet's own unvisited time; null where that holds
 * fewer than five events.
 *
 * A log-linear Poisson model over all causes predicts each step of unvisited time from the record up to it, and classes
 * of equal record correct it by observed over expected, for each cause. A longer time is predicted step by step, each
 * step's expected events joining the record. As every step stands against the record just before it, a visit that ends
 * a bad stretch early takes nothing away from the rest: what follows bad months by itself, better or worse, is read off
 * all the time in which nobody had come yet. No step is expected beyond {@link MOST_RISE} times the highest rate on the
 * record, nor beyond one event per gap of clusters, so expectations that feed on themselves stay bounded.
 */
export function fitWithoutVisit(
  records: readonly CauseRecord[],
  { horizonDays, touches }: Pick<Unvisited, "horizonDays" | "touches">,
): WithoutVisit | null {
  const rates = causeRates(records);
  const joinDays = records[0]?.joinDays ?? 0;
  const cells = unvisitedCells(records, { rates, horizonDays, touches });
  if (cells.counts.reduce((sum, count) => sum + count, 0) < LEAST_EVENTS) return null;
  const coefficients = Float64Array.from(penalisedPoisson(cells, { centre, spread: SPREAD }));
  const classes = new CalibrationClasses();
  for (const [index, count] of cells.counts.entries()) {
    const from = index * FEATURES;
    const place = cells.places[index] ?? 0;
    const days = cells.days[index] ?? 0;
    const most = Math.min(joinDays > 0 ? 1 / joinDays : Infinity, mostPerDay(cells.rows, from, rates[place] ?? never));
    const perDay = ((cells.offsets[index] ?? 0) / days) * relativeRate(coefficients, cells.rows, from);
    const mean = days * Math.min(perDay, most);
    classes.add({ place, recordClass: classOf(cells.rows, from) }, { count, mean, weight: cells.weights[index] ?? 1 });
  }
  const fitted = { coefficients, classes };
  return {
    expected: (record, { place, ...of }) => {
      const rate = rates[place];
      return rate ? expectedAlong(record, { ...of, ...fitted, place, rate }) : nothing;
    },
  };
}

const never: CauseRate = { perDay: 0, shape: 1 };
const nothing: Expected = { mean: 0, dispersion: 1, relativeVariance: 0, recordClass: 0 };

/** Most events a day of a cause after a record: {@link MOST_RISE} times the highest of its rates and the fleet's. */
export function mostPerDay(row: ArrayLike<number>, from: number, { perDay }: CauseRate): number {
  let highest = 0;
  for (let index = 0; index < MEMORIES; index += 1) highest = Math.max(highest, row[from + index] ?? 0);
  return MOST_RISE * perDay * Math.exp(highest);
}

function relativeRate(coefficients: Float64Array, rows: Float64Array, from: number): number {
  let line = coefficients[0] ?? 0;
  for (let j = 0; j < FEATURES; j += 1) line += (coefficients[j + 1] ?? 0) * (rows[from + j] ?? 0);
  return Math.exp(Math.min(20, line));
}

type Along = {
  readonly place: number;
  readonly rate: CauseRate;
  readonly moment: Moment;
  readonly path: readonly PathStep[];
  readonly endAt: number;
  readonly coefficients: Float64Array;
  readonly classes: CalibrationClasses;
};

function expectedAlong(record: CauseRecord, along: Along): Expected {
  const { place, rate, moment, path, endAt, coefficients, classes } = along;
  const from = place * MEMORIES;
  const counts = moment.counts.slice(from, from + MEMORIES);
  const row = new Float64Array(FEATURES);
  const sums = { mean: 0, noise: 0, doubt: 0 };
  let most = 0;
  let recordClass = 0;
  for (const step of path) {
    if (step.startAt >= endAt) break;
    const { exposuresDays, signal, year } = step;
    writeFeatures(row, 0, { place, rate, counts, from: 0, exposuresDays, signal, year });
    if (step === path[0]) {
      recordClass = classOf(row);
      most = Math.min(record.joinDays > 0 ? 1 / record.joinDays : Infinity, mostPerDay(row, 0, rate));
    }
    const cut = Math.min(endAt, step.endAt);
    const atRiskDays =
      cut === step.endAt ? step.atRiskDays : daysWithin(record.atRisk, { startAt: step.startAt, endAt: cut });
    const { ratio, dispersion, relativeVariance } = classes.of({ place, recordClass: classOf(row) });
    const mean = atRiskDays * Math.min(most, ratio * rate.perDay * relativeRate(coefficients, row, 0));
    sums.mean += mean;
    sums.noise += mean * dispersion;
    sums.doubt += mean * relativeVariance;
    const days = (cut - step.startAt) / DAY_MS;
    for (let at = 0; at < MEMORIES; at += 1) {
      counts[at] = carried(counts[at] ?? 0, { added: mean, days, memory: memoriesDays[at] ?? Infinity });
    }
  }
  if (!(sums.mean > 0)) return { ...nothing, recordClass };
  return {
    mean: sums.mean,
    dispersion: sums.noise / sums.mean,
    relativeVariance: sums.doubt / sums.mean,
    recordClass,
  };
}
