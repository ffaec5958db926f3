import { isSouth, seasonAngle } from "@/lib/analyse/fleet-season";
import type { Cause } from "@/lib/analyse/modes/cause";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { CauseRate, CauseRecord } from "@/lib/rank/visit-effects/cause-record";

/** Memories over which a record is summed, in days: two that fade and the whole record. */
const memoriesDays = [60, 365, Infinity] as const;
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

/** A detector at a moment, whatever the cause: days at risk by memory, and what its readings say (null without any). */
export type MomentState = {
  readonly at: number;
  readonly south: boolean;
  readonly exposuresDays: readonly number[];
  readonly signal: { readonly levelDb: number; readonly riseDb: number } | null;
};

/** Events of one cause before a moment, by memory. */
export type CauseCounts = readonly number[];

/** The state of a record just before a moment. */
export function stateAt({ history, atRisk }: CauseRecord, at: number): MomentState {
  const first = history.exposure.observed[0]?.startAt ?? at;
  const past = within(atRisk, { startAt: Math.min(first, at), endAt: at });
  return {
    at,
    south: isSouth(history.site),
    exposuresDays: memoriesDays.map((memory) => fadedDays(past, { at, memory })),
    signal: history.signal === null ? null : signalBefore(history.signal, at),
  };
}

/** Events of one cause in a record before a moment, each as much as the memory still holds of it. */
export function countsAt({ events }: CauseRecord, { at, cause }: { at: number; cause: Cause }): CauseCounts {
  const counts = memoriesDays.map(() => 0);
  for (const event of events) {
    if (event.at >= at) break;
    const weight = event.causes.find((one) => one.cause === cause)?.value ?? 0;
    if (weight === 0) continue;
    for (const [index, memory] of memoriesDays.entries()) {
      counts[index] = (counts[index] ?? 0) + weight * Math.exp(-(at - event.at) / DAY_MS / memory);
    }
  }
  return counts;
}

/**
 * State and counts some days on, had `expected` events come in `atRiskDays` days at risk: what a record would have
 * become without a visit. The signal goes on as it went.
 */
export function stepOn(
  { state, counts }: { state: MomentState; counts: CauseCounts },
  { days, atRiskDays, expected }: { days: number; atRiskDays: number; expected: number },
): { state: MomentState; counts: CauseCounts } {
  const carry = (values: readonly number[], added: number) =>
    memoriesDays.map(
      (memory, index) => (values[index] ?? 0) * Math.exp(-days / memory) + added * Math.exp(-days / 2 / memory),
    );
  const { signal } = state;
  return {
    counts: carry(counts, expected),
    state: {
      ...state,
      at: state.at + days * DAY_MS,
      exposuresDays: carry(state.exposuresDays, atRiskDays),
      signal: signal && { ...signal, levelDb: bounded(signal.levelDb + (signal.riseDb * days) / RECENT_DAYS) },
    },
  };
}

/** Number of columns of {@link featuresOf}. */
export const FEATURES = 8;

/**
 * Columns of the model of one cause at one detector and moment, after the intercept: log of the detector's rate over
 * the fleet's by memory, each shrunk to 1 by the fleet's gamma shape; whether there are readings, signal level and its
 * rise (causes that show in the signal); the year.
 */
export function featuresOf(
  { state, counts }: { state: MomentState; counts: CauseCounts },
  { cause, rate }: { cause: Cause; rate: CauseRate },
): number[] {
  const rates = counts.map((count, index) =>
    Math.log((rate.shape + count) / (rate.shape + rate.perDay * (state.exposuresDays[index] ?? 0))),
  );
  const shows = state.signal !== null && signalCauses.includes(cause);
  const signal = shows && state.signal ? [1, state.signal.levelDb, state.signal.riseDb] : [0, 0, 0];
  const angle = seasonAngle(state.at, state.south);
  return [...rates, ...signal, Math.cos(angle), Math.sin(angle)];
}

function fadedDays(spans: readonly Span[], { at, memory }: { at: number; memory: number }): number {
  if (memory === Infinity) return lengthOf(spans) / DAY_MS;
  return spans.reduce((sum, { startAt, endAt }) => {
    const age = (moment: number) => Math.exp(-(at - moment) / DAY_MS / memory);
    return sum + memory * (age(endAt) - age(startAt));
  }, 0);
}

function signalBefore(signal: SignalSummary, at: number): MomentState["signal"] {
  const level = levelBefore(signal, Math.floor(at / DAY_MS));
  const before = levelBefore(signal, Math.floor(at / DAY_MS) - RECENT_DAYS);
  if (level === null) return null;
  return { levelDb: bounded(level), riseDb: bounded(before === null ? 0 : level - before) };
}

function bounded(value: number): number {
  return Math.max(-MOST_DB, Math.min(MOST_DB, value));
}

function levelBefore({ day, attenuationDb }: SignalSummary, before: number): number | null {
  let low = 0;
  let high = day.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((day[middle] ?? Infinity) < before) low = middle + 1;
    else high = middle;
  }
  let sum = 0;
  let count = 0;
  for (let row = low - 1; row >= 0 && (day[row] ?? -Infinity) >= before - SIGNAL_DAYS; row -= 1) {
    sum += attenuationDb[row] ?? 0;
    count += 1;
  }
  return count === 0 ? null : sum / count;
}
