import type { Span } from "@/lib/kernel/interval";
import { attenuationDb, DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";
import { medianOfSorted } from "@/lib/statistics/descriptive";

/**
 * A detector's readings reduced to days (UTC), so that the series itself need not be kept.
 *
 * The columns have equal length, oldest day first; NaN marks a day without temperature or compensation.
 */
export type SignalSummary = {
  /** Days since 1970-01-01. */
  readonly day: Float64Array;
  /** Median attenuation of the day. */
  readonly attenuationDb: Float64Array;
  readonly lowestSignalPct: Float64Array;
  readonly highestSignalPct: Float64Array;
  readonly compensationPct: Float64Array;
  readonly temperatureC: Float64Array;
  readonly lowestTemperatureC: Float64Array;
  readonly latestReadAt: number;
  readonly latestSignalPct: number;
  /** Median time between readings; null for a single reading. */
  readonly usualIntervalMs: number | null;
  /** Stretches with readings no further apart than the silence setting; the end is the last reading's moment. */
  readonly presence: readonly Span[];
};

/** Attenuation given to a signal of 0 %, which has no number of its own: darker than any threshold in use. */
export const DARKEST_DB = 30;

/**
 * Reduces one detector's readings before `asOf`; null when there are none. The series may be unsorted.
 *
 * Cost: O(readings) for a sorted series; memory does not grow with readings a day.
 */
export function summariseSignal(
  series: ReadingSeries,
  { asOf, silentAfterHours }: { asOf: number; silentAfterHours: number },
): SignalSummary | null {
  const order = orderBefore(series, asOf);
  const lastIndex = order.at(-1);
  if (lastIndex === undefined) return null;
  const days = emptyDays(order.length);
  let count = 0;
  for (let from = 0; from < order.length; ) {
    const day = Math.floor((series.readAt[order[from] ?? 0] ?? 0) / DAY_MS);
    let to = from;
    while (to < order.length && Math.floor((series.readAt[order[to] ?? 0] ?? 0) / DAY_MS) === day) to += 1;
    writeDay(days, { row: count, day, series, order, from, to });
    count += 1;
    from = to;
  }
  return {
    day: days.day.slice(0, count),
    attenuationDb: days.attenuationDb.slice(0, count),
    lowestSignalPct: days.lowestSignalPct.slice(0, count),
    highestSignalPct: days.highestSignalPct.slice(0, count),
    compensationPct: days.compensationPct.slice(0, count),
    temperatureC: days.temperatureC.slice(0, count),
    lowestTemperatureC: days.lowestTemperatureC.slice(0, count),
    latestReadAt: series.readAt[lastIndex] ?? 0,
    latestSignalPct: series.signalPct[lastIndex] ?? 0,
    ...presenceOf(series, order, silentAfterHours * HOUR_MS),
  };
}

function orderBefore({ readAt }: ReadingSeries, asOf: number): number[] {
  const order: number[] = [];
  let sorted = true;
  for (let index = 0; index < readAt.length; index += 1) {
    const at = readAt[index] ?? Infinity;
    if (at >= asOf) continue;
    const before = order.at(-1);
    if (before !== undefined && (readAt[before] ?? 0) > at) sorted = false;
    order.push(index);
  }
  return sorted ? order : order.sort((a, b) => (readAt[a] ?? 0) - (readAt[b] ?? 0));
}

function emptyDays(length: number) {
  const column = () => new Float64Array(length);
  return {
    day: column(),
    attenuationDb: column(),
    lowestSignalPct: column(),
    highestSignalPct: column(),
    compensationPct: column(),
    temperatureC: column(),
    lowestTemperatureC: column(),
  };
}

type DayRows = {
  readonly row: number;
  readonly day: number;
  readonly series: ReadingSeries;
  readonly order: readonly number[];
  readonly from: number;
  readonly to: number;
};

function writeDay(days: ReturnType<typeof emptyDays>, { row, day, series, order, from, to }: DayRows): void {
  const signals = new Float64Array(to - from);
  const temperatures: number[] = [];
  const compensations: number[] = [];
  for (let index = from; index < to; index += 1) {
    const at = order[index] ?? 0;
    signals[index - from] = series.signalPct[at] ?? 0;
    const temperature = series.temperatureC[at] ?? Number.NaN;
    if (!Number.isNaN(temperature)) temperatures.push(temperature);
    const compensation = series.compensationPct[at] ?? Number.NaN;
    if (!Number.isNaN(compensation)) compensations.push(compensation);
  }
  signals.sort();
  temperatures.sort((a, b) => a - b);
  compensations.sort((a, b) => a - b);
  days.day[row] = day;
  // Attenuation falls with signal, so the median of one is the image of the other's.
  days.attenuationDb[row] = boundedDb(medianOfSorted(signals) ?? 0);
  days.lowestSignalPct[row] = signals[0] ?? 0;
  days.highestSignalPct[row] = signals[signals.length - 1] ?? 0;
  days.compensationPct[row] = medianOfSorted(compensations) ?? Number.NaN;
  days.temperatureC[row] = medianOfSorted(temperatures) ?? Number.NaN;
  days.lowestTemperatureC[row] = temperatures[0] ?? Number.NaN;
}

function boundedDb(signalPct: number): number {
  return signalPct <= 0.1 ? DARKEST_DB : (attenuationDb(signalPct) ?? DARKEST_DB);
}

function presenceOf({ readAt }: ReadingSeries, order: readonly number[], silentMs: number) {
  const gaps = new Float64Array(Math.max(0, order.length - 1));
  const presence: Span[] = [];
  let startAt = readAt[order[0] ?? 0] ?? 0;
  let last = startAt;
  for (let index = 1; index < order.length; index += 1) {
    const at = readAt[order[index] ?? 0] ?? 0;
    gaps[index - 1] = at - last;
    if (at - last > silentMs) {
      presence.push({ startAt, endAt: last });
      startAt = at;
    }
    last = at;
  }
  presence.push({ startAt, endAt: last });
  gaps.sort();
  return { usualIntervalMs: medianOfSorted(gaps), presence };
}
