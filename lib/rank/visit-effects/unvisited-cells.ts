import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { PreventiveTask } from "@/lib/rank/effects";
import { type CauseRate, type CauseRecord, sharesOf } from "@/lib/rank/visit-effects/cause-record";
import {
  daysWithin,
  eventsBefore,
  FEATURES,
  MEMORIES,
  momentAt,
  writeFeatures,
  yearOf,
} from "@/lib/rank/visit-effects/features";
import { aftermathMs, type PastVisit } from "@/lib/rank/visit-effects/past-visits";
import type { PoissonCells } from "@/lib/rank/visit-effects/penalised-poisson";

/** Length of the steps into which time is cut, days. */
export const STEP_DAYS = 15;
const LEAST_BEFORE_DAYS = 60;
const LEAST_ON_RECORD = 0.05;
const MOST_QUIET_CELLS = 10_000;

/** What counts as unvisited: time outside the aftermath of any visit whose task touches the cause (by its place). */
export type Unvisited = {
  readonly rates: readonly (CauseRate | null)[];
  readonly horizonDays: number;
  readonly touches: (task: PreventiveTask, place: number) => boolean;
};

/** Cells of the model with the place of the cause and the days at risk of each. */
export type UnvisitedCells = PoissonCells & { readonly places: Float64Array; readonly days: Float64Array };

/** Whether a record reaches back far enough before a moment for anything to be expected after it. */
export function isKnownAt(record: CauseRecord, at: number): boolean {
  return at >= knownFrom(record);
}

function knownFrom({ atRisk }: CauseRecord): number {
  let leftMs = LEAST_BEFORE_DAYS * DAY_MS;
  for (const { startAt, endAt } of atRisk) {
    if (endAt - startAt >= leftMs) return startAt + leftMs;
    leftMs -= endAt - startAt;
  }
  return Infinity;
}

/** Places of the causes that a record before a moment shows at all: a twentieth of an event or more. */
export function shownAt(record: CauseRecord, moment: Parameters<typeof eventsBefore>[0]): number[] {
  return record.plausible.filter((place) => eventsBefore(moment, place) >= LEAST_ON_RECORD);
}

/**
 * All steps of a fleet's unvisited time by the causes their record so far shows, with the events that came.
 *
 * Steps without any event are most of all and say little each: beyond a number, each stands for several.
 */
export function unvisitedCells(records: readonly CauseRecord[], around: Unvisited): UnvisitedCells {
  const stepsOf = records.map((record) => (record.plausible.length > 0 ? stepsUpTo(record) : []));
  const quiet = stepsOf.reduce((sum, steps, index) => sum + steps.length * (records[index]?.plausible.length ?? 0), 0);
  const each = Math.max(1, Math.ceil(quiet / MOST_QUIET_CELLS));
  const cells = new CellList();
  let index = 0;
  for (const [number, record] of records.entries()) {
    const visitsTo = new Map(
      record.plausible.map((place) => [
        place,
        record.visits.filter(({ tasks }) => tasks.some((task) => around.touches(task, place))),
      ]),
    );
    for (const step of stepsOf[number] ?? []) {
      // Which steps stand for others must not depend on the record.
      index += 1;
      const kept = (index * 7919) % each === 0;
      if (kept || hasEvents(record, step)) addCells(cells, { around, record, step, each, kept, visitsTo });
    }
  }
  return cells.columns();
}

// Plain arrays of numbers grow cheaply, which many small typed arrays do not.
class CellList {
  private readonly rows: number[] = [];
  private readonly counts: number[] = [];
  private readonly offsets: number[] = [];
  private readonly weights: number[] = [];
  private readonly places: number[] = [];
  private readonly days: number[] = [];

  add(row: Float64Array, cell: { place: number; count: number; days: number; offset: number; weight: number }): void {
    for (let column = 0; column < FEATURES; column += 1) this.rows.push(row[column] ?? 0);
    this.counts.push(cell.count);
    this.offsets.push(cell.offset);
    this.weights.push(cell.weight);
    this.places.push(cell.place);
    this.days.push(cell.days);
  }

  columns(): UnvisitedCells {
    return {
      columns: FEATURES,
      rows: new Float64Array(this.rows),
      counts: new Float64Array(this.counts),
      offsets: new Float64Array(this.offsets),
      weights: new Float64Array(this.weights),
      places: new Float64Array(this.places),
      days: new Float64Array(this.days),
    };
  }
}

function stepsUpTo(record: CauseRecord): Span[] {
  const from = knownFrom(record);
  const steps: Span[] = [];
  const stepMs = STEP_DAYS * DAY_MS;
  for (let { asOf: endAt } = record.history; endAt - stepMs >= from; endAt -= stepMs) {
    steps.push({ startAt: endAt - stepMs, endAt });
  }
  return steps;
}

type Step = {
  readonly around: Unvisited;
  readonly record: CauseRecord;
  readonly step: Span;
  readonly kept: boolean;
  readonly each: number;
  readonly visitsTo: ReadonlyMap<number, readonly PastVisit[]>;
};

function hasEvents({ events }: CauseRecord, { startAt, endAt }: Span): boolean {
  for (const { at } of events) if (at >= startAt) return at < endAt;
  return false;
}

function addCells(cells: CellList, { record, step, kept, each, visitsTo, around }: Step): void {
  const { rates, horizonDays } = around;
  const inside = record.events.filter(({ at }) => at >= step.startAt && at < step.endAt);
  const moment = momentAt(record, step.startAt);
  const year = yearOf(step.startAt, moment.south);
  const afterMs = aftermathMs(horizonDays);
  const row = new Float64Array(FEATURES);
  for (const place of shownAt(record, moment)) {
    const rate = rates[place] ?? null;
    const visits = visitsTo.get(place) ?? [];
    const treated = visits.some(({ at, until }) => at <= step.startAt && step.startAt < until + afterMs);
    if (rate === null || treated) continue;
    const endAt = Math.min(step.endAt, visits.find(({ at }) => at > step.startAt)?.at ?? Infinity);
    const seen = endAt < step.endAt ? inside.filter(({ at }) => at < endAt) : inside;
    const count = sharesOf(seen, place);
    if (count === 0 && !kept) continue;
    const days = daysWithin(record.atRisk, { startAt: step.startAt, endAt });
    if (!(days > 0)) continue;
    const { counts, exposuresDays, signal } = moment;
    writeFeatures(row, 0, { place, rate, counts, from: place * MEMORIES, exposuresDays, signal, year });
    cells.add(row, { place, count, days, offset: rate.perDay * days, weight: count === 0 ? each : 1 });
  }
}
