import { isSouth, seasonAngle } from "@/lib/analyse/fleet-season";
import { type Cause, causes } from "@/lib/analyse/modes/cause";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import type { Span } from "@/lib/kernel/interval";
import { countBelow } from "@/lib/kernel/sorted";
import { DAY_MS } from "@/lib/kernel/units";
import type { CauseRate, CauseRecord } from "@/lib/rank/visit-effects/cause-record";

/** Memories over which a record is summed, in days: two that fade and the whole record. */
export const memoriesDays = [60, 365, Infinity] as const;
/** Number of {@link memoriesDays}. */
export const MEMORIES = memoriesDays.length;
const RECENT_DAYS = 90;
const SIGNAL_DAYS = 14;
const MOST_DB = 6;

/** Causes that show in the signal before they end in an event. */
const signalCauses: readonly Cause[] = [
  "soiling",
  "compensation at its limit",
  "ageing",
  "thermal movement",
  "mount that will not hold",
  "knocked out of line",
];
const shows = causes.map((cause) => signalCauses.includes(cause));

/** What a detector's readings say at a moment, in decibels: their level and its rise in 90 days. */
export type SignalState = { readonly levelDb: number; readonly riseDb: number };

/** A detector just before a moment: days at risk and events by memory, and its signal (null without readings). */
export type Moment = {
  readonly at: number;
  readonly south: boolean;
  readonly exposuresDays: readonly number[];
  /** Events by place of their cause and memory, shape (causes x {@link MEMORIES}). */
  readonly counts: Float64Array;
  readonly signal: SignalState | null;
};

/** A record just before a moment. */
export function momentAt({ history, atRisk, events, plausible }: CauseRecord, at: number): Moment {
  const counts = new Float64Array(causes.length * MEMORIES);
  for (const event of events) {
    if (event.at >= at) break;
    for (const [index, memory] of memoriesDays.entries()) {
      const left = Math.exp(-(at - event.at) / DAY_MS / memory);
      for (const place of plausible) {
        const to = place * MEMORIES + index;
        counts[to] = (counts[to] ?? 0) + left * (event.shares[place] ?? 0);
      }
    }
  }
  return {
    at,
    south: isSouth(history.site),
    exposuresDays: memoriesDays.map((memory) => fadedDays(atRisk, { at, memory })),
    counts,
    signal: history.signal === null ? null : signalBefore(history.signal, at),
  };
}

/** Events of a cause on record before a moment, none forgotten. */
export function eventsBefore({ counts }: Moment, place: number): number {
  return counts[place * MEMORIES + MEMORIES - 1] ?? 0;
}

/** A signal some days on, as it went so far; bounded. */
export function signalOn({ levelDb, riseDb }: SignalState, days: number): SignalState {
  return { riseDb, levelDb: bounded(levelDb + (riseDb * days) / RECENT_DAYS) };
}

/** Days of some spans between two moments. */
export function daysWithin(spans: readonly Span[], { startAt, endAt }: Span): number {
  let ms = 0;
  for (const span of spans) {
    if (span.startAt >= endAt) break;
    ms += Math.max(0, Math.min(span.endAt, endAt) - Math.max(span.startAt, startAt));
  }
  return ms / DAY_MS;
}

/** Number of columns of {@link writeFeatures}. */
export const FEATURES = 8;

/** Where in the year a moment is, as the model sees it. */
export function yearOf(at: number, south: boolean): { readonly cos: number; readonly sin: number } {
  const angle = seasonAngle(at, south);
  return { cos: Math.cos(angle), sin: Math.sin(angle) };
}

/**
 * Writes the columns of the model of one cause at one detector and moment to `row` from `to`, after the intercept: log
 * of the detector's rate over the fleet's by memory, each shrunk to 1 by the fleet's gamma shape; whether there are
 * readings, signal level and its rise (causes that show in the signal); the year.
 */
export function writeFeatures(
  row: Float64Array,
  to: number,
  now: {
    readonly place: number;
    readonly rate: CauseRate;
    /** Events of the cause by memory, from `from` on. */
    readonly counts: ArrayLike<number>;
    readonly from: number;
    readonly exposuresDays: ArrayLike<number>;
    readonly signal: SignalState | null;
    readonly year: { readonly cos: number; readonly sin: number };
  },
): void {
  const { place, rate, counts, from, exposuresDays, signal, year } = now;
  for (let index = 0; index < MEMORIES; index += 1) {
    const expected = rate.perDay * (exposuresDays[index] ?? 0);
    row[to + index] = Math.log((rate.shape + (counts[from + index] ?? 0)) / (rate.shape + expected));
  }
  const seen = shows[place] ? signal : null;
  row[to + 3] = seen === null ? 0 : 1;
  row[to + 4] = seen?.levelDb ?? 0;
  row[to + 5] = seen?.riseDb ?? 0;
  row[to + 6] = year.cos;
  row[to + 7] = year.sin;
}

function fadedDays(spans: readonly Span[], { at, memory }: { at: number; memory: number }): number {
  if (memory === Infinity) return daysWithin(spans, { startAt: -Infinity, endAt: at });
  let days = 0;
  for (const span of spans) {
    if (span.startAt >= at) break;
    const left = (moment: number) => Math.exp(-(at - moment) / DAY_MS / memory);
    days += memory * (left(Math.min(span.endAt, at)) - left(span.startAt));
  }
  return days;
}

function signalBefore(signal: SignalSummary, at: number): SignalState | null {
  const level = levelBefore(signal, Math.floor(at / DAY_MS));
  if (level === null) return null;
  const before = levelBefore(signal, Math.floor(at / DAY_MS) - RECENT_DAYS);
  return { levelDb: bounded(level), riseDb: bounded(before === null ? 0 : level - before) };
}

function bounded(value: number): number {
  return Math.max(-MOST_DB, Math.min(MOST_DB, value));
}

function levelBefore({ day, attenuationDb }: SignalSummary, before: number): number | null {
  let sum = 0;
  let count = 0;
  for (let row = countBelow(day, before) - 1; row >= 0 && (day[row] ?? -Infinity) >= before - SIGNAL_DAYS; row -= 1) {
    sum += attenuationDb[row] ?? 0;
    count += 1;
  }
  return count === 0 ? null : sum / count;
}
