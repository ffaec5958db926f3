import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { DAY_MS } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/**
 * The last weeks before a moment as columns of equal length, oldest first: middle of the week in days since 1970,
 * median attenuation, usual distance from the shallowest to the deepest reading of a day, mean temperature (NaN where
 * none was sent), and the number of the hold: it rises by one at each reset.
 */
export type RecentWeeks = {
  readonly day: Float64Array;
  readonly db: Float64Array;
  readonly dailySwingDb: Float64Array;
  readonly temperatureC: Float64Array;
  readonly hold: Int32Array;
};

const WEEK = 7;
const LEAST_DAYS = 3;
const LEAST_SIGNAL_PCT = 0.1;

/** Row of the first day that is not over at `at`; days before it are known whole. */
export function rowsBefore({ day }: SignalSummary, at: number): number {
  const today = Math.floor(at / DAY_MS);
  let low = 0;
  let high = day.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((day[middle] ?? Infinity) < today) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * Weeks counted back from a moment, each cut short at a reset and left out below three days of readings.
 *
 * @param resetDays - days since 1970 of the resets before the moment, rising; the day itself belongs to no week
 */
export function recentWeeks(
  signal: SignalSummary,
  { at, weeks, resetDays }: { at: number; weeks: number; resetDays: readonly number[] },
): RecentWeeks {
  const end = rowsBefore(signal, at);
  const today = Math.floor(at / DAY_MS);
  const columns = {
    day: new Float64Array(2 * weeks),
    db: new Float64Array(2 * weeks),
    dailySwingDb: new Float64Array(2 * weeks),
    temperatureC: new Float64Array(2 * weeks),
    hold: new Int32Array(2 * weeks),
  };
  let count = 0;
  let row = rowsBefore(signal, at - weeks * WEEK * DAY_MS);
  let hold = 0;
  while (row < end && count < 2 * weeks) {
    const first = signal.day[row] ?? 0;
    while (hold < resetDays.length && (resetDays[hold] ?? Infinity) <= first) hold += 1;
    const weekEnd = today - WEEK * Math.floor((today - 1 - first) / WEEK);
    const until = Math.min(weekEnd, resetDays[hold] ?? Infinity);
    const from = resetDays[hold - 1] === first ? row + 1 : row;
    let to = row + 1;
    while (to < end && (signal.day[to] ?? Infinity) < until) to += 1;
    if (to - from >= LEAST_DAYS) writeWeek(columns, count++, { signal, from, to, hold });
    row = to;
  }
  return {
    day: columns.day.subarray(0, count),
    db: columns.db.subarray(0, count),
    dailySwingDb: columns.dailySwingDb.subarray(0, count),
    temperatureC: columns.temperatureC.subarray(0, count),
    hold: columns.hold.subarray(0, count),
  };
}

type Rows = { readonly signal: SignalSummary; readonly from: number; readonly to: number; readonly hold: number };

function writeWeek(columns: RecentWeeks, index: number, { signal, from, to, hold }: Rows): void {
  let days = 0;
  let warmth = 0;
  let warm = 0;
  for (let row = from; row < to; row += 1) {
    days += (signal.day[row] ?? 0) + 0.5;
    const temperature = signal.temperatureC[row] ?? Number.NaN;
    if (Number.isNaN(temperature)) continue;
    warmth += temperature;
    warm += 1;
  }
  columns.day[index] = days / (to - from);
  columns.db[index] = medianInPlace(signal.attenuationDb.slice(from, to)) ?? 0;
  columns.dailySwingDb[index] = dailySwing(signal, (from + to) >> 1);
  columns.temperatureC[index] = warm > 0 ? warmth / warm : Number.NaN;
  columns.hold[index] = hold;
}

// One day stands for its week: the median over weeks is what is asked for, and logarithms are dear.
function dailySwing(signal: SignalSummary, row: number): number {
  const low = Math.max(LEAST_SIGNAL_PCT, signal.lowestSignalPct[row] ?? 0);
  const high = Math.max(low, signal.highestSignalPct[row] ?? low);
  return 10 * Math.log10(high / low);
}
