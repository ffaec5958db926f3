import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { countBelow } from "@/lib/kernel/sorted";
import { DAY_MS } from "@/lib/kernel/units";
import { medianOfRange } from "@/lib/statistics/order-statistics";

/**
 * Weeks as columns of equal length, oldest first: middle of the week in days since 1970, median attenuation, usual
 * distance from the shallowest to the deepest reading of a day, mean temperature (NaN where none was sent), and the
 * number of the hold: it rises by one at each reset.
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
  return countBelow(day, Math.floor(at / DAY_MS));
}

/**
 * All weeks of a record, made once, and how to look back from any moment: those of the last `weeks` weeks that were over
 * by then. Nothing after the moment is in what it returns.
 *
 * @param resetDays - days since 1970 of all resets, rising; the day itself belongs to no week, and a reset cuts one
 */
export function weeksUntil(
  signal: SignalSummary,
  resetDays: readonly number[],
): (at: number, weeks: number) => RecentWeeks {
  const ranges = weekRanges(signal, resetDays);
  const all = columnsFor(ranges.length);
  for (const [index, range] of ranges.entries()) writeWeek(all, index, { signal, ...range });
  return (at, weeks) => {
    const today = Math.floor(at / DAY_MS);
    let to = ranges.length;
    while (to > 0 && (ranges[to - 1]?.overBy ?? 0) > today) to -= 1;
    let from = to;
    while (from > 0 && (all.day[from - 1] ?? 0) >= today - weeks * WEEK) from -= 1;
    return {
      day: all.day.subarray(from, to),
      db: all.db.subarray(from, to),
      dailySwingDb: all.dailySwingDb.subarray(from, to),
      temperatureC: all.temperatureC.subarray(from, to),
      hold: all.hold.subarray(from, to),
    };
  };
}

function columnsFor(length: number): RecentWeeks {
  return {
    day: new Float64Array(length),
    db: new Float64Array(length),
    dailySwingDb: new Float64Array(length),
    temperatureC: new Float64Array(length),
    hold: new Int32Array(length),
  };
}

/** Rows of a week, and the day on which it is known to be over. */
type Range = { readonly from: number; readonly to: number; readonly hold: number; readonly overBy: number };

function weekRanges({ day }: SignalSummary, resetDays: readonly number[]): Range[] {
  const ranges: Range[] = [];
  let hold = 0;
  for (let from = 0; from < day.length; ) {
    const first = day[from] ?? 0;
    while (hold < resetDays.length && (resetDays[hold] ?? Infinity) <= first) hold += 1;
    if (resetDays[hold - 1] === first) {
      from += 1;
      continue;
    }
    const weekEnd = WEEK * (Math.floor(first / WEEK) + 1);
    const reset = resetDays[hold] ?? Infinity;
    let to = from + 1;
    while (to < day.length && (day[to] ?? Infinity) < Math.min(weekEnd, reset)) to += 1;
    if (to - from >= LEAST_DAYS) ranges.push({ from, to, hold, overBy: Math.min(weekEnd, reset + 1) });
    from = to;
  }
  return ranges;
}

type Rows = Range & { readonly signal: SignalSummary };

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
  columns.db[index] = medianOfRange(signal.attenuationDb, from, to) ?? 0;
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
