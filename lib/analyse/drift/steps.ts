import type { Quantity, Weeks } from "@/lib/analyse/drift/weeks";
import { medianInPlace, medianOfRange } from "@/lib/statistics/order-statistics";

/** A jump of the level between two weeks that no work record explains; above 0 is worse. */
export type Step = { readonly row: number; readonly day: number; readonly change: number };

const SIDE_WEEKS = 4;
const LEAST_AT_END = 2;
const IN_ONE_WEEK = 0.6;
const MOST_APART_DAYS = 28;
const SIGMAS = 6;
const SMALLEST: Readonly<Record<Quantity, number>> = { signal: 0.2, compensation: 8 };
const OUTLIER_SIGMAS = 6;

/**
 * Weeks at which the level jumped, oldest first: a reset nobody recorded, or a knock.
 *
 * A jump is a change between the medians of four weeks on either side (two at the end of the record) that is large
 * against the change from week to week and happened for the most part between two neighbouring weeks. Dirt and season
 * spread over many weeks and never fulfil that. Work never makes it worse by itself, so a jump for the worse across
 * it counts too.
 *
 * @param flat - values of the weeks with movement by temperature taken off
 */
export function stepsOf(weeks: Weeks, flat: Float64Array, quantity: Quantity): Step[] {
  const least = Math.max(SMALLEST[quantity], SIGMAS * weeklyNoise(weeks, flat));
  const steps: Step[] = [];
  for (const { from, to } of holdRanges(weeks)) {
    const begun = worseAtStart({ weeks, flat, least, from, to });
    if (begun) steps.push(begun);
    cut({ weeks, flat, least, from, to }, steps);
  }
  return steps.sort((a, b) => a.row - b.row);
}

/**
 * Rows whose value lies far from its neighbours on both sides, as when goods stood in the beam for a week or two, and
 * the last weeks of a hold that jumped and were mended at once: they are an event of their own, no part of the line.
 */
export function outlierRows(weeks: Weeks, flat: Float64Array, quantity: Quantity): Set<number> {
  const least = Math.max(SMALLEST[quantity], OUTLIER_SIGMAS * weeklyNoise(weeks, flat));
  const found = new Set<number>();
  for (const { from, to } of holdRanges(weeks)) {
    const ending = to < flat.length ? Math.max(from + SIDE_WEEKS, to - LEAST_AT_END) : to;
    for (let row = ending; row < to; row += 1) {
      const before = medianOfRange(flat, ending - SIDE_WEEKS, ending) ?? 0;
      if ((flat[row] ?? 0) - before > least) found.add(row);
    }
    for (let row = from; row < to; row += 1) {
      if (row - from < 2 || to - row < 3) continue;
      const value = flat[row] ?? 0;
      const before = medianOfRange(flat, Math.max(from, row - 3), row) ?? 0;
      if (Math.abs(value - before) <= least) continue;
      const after = medianOfRange(flat, row + 1, Math.min(to, row + 5)) ?? 0;
      const apart = Math.min(Math.abs(value - before), Math.abs(value - after));
      if (apart > least && (value - before) * (value - after) > 0) found.add(row);
    }
  }
  return found;
}

/** Robust standard deviation of a week's noise, from the changes between neighbouring weeks of a hold; 0 for none. */
export function weeklyNoise({ hold }: Weeks, flat: Float64Array): number {
  const changes = new Float64Array(flat.length);
  let count = 0;
  for (let row = 1; row < flat.length; row += 1) {
    if (hold[row] === hold[row - 1]) changes[count++] = (flat[row] ?? 0) - (flat[row - 1] ?? 0);
  }
  const used = changes.subarray(0, count);
  const middle = medianInPlace(used) ?? 0;
  for (let index = 0; index < count; index += 1) used[index] = Math.abs((used[index] ?? 0) - middle);
  return (1.4826 * (medianInPlace(used) ?? 0)) / Math.SQRT2;
}

/** Rows of each hold, from inclusive, to exclusive. */
export function holdRanges({ hold }: Weeks): { readonly from: number; readonly to: number }[] {
  const ranges: { from: number; to: number }[] = [];
  for (let from = 0; from < hold.length; ) {
    let to = from + 1;
    while (to < hold.length && hold[to] === hold[from]) to += 1;
    ranges.push({ from, to });
    from = to;
  }
  return ranges;
}

type Stretch = {
  readonly weeks: Weeks;
  readonly flat: Float64Array;
  readonly least: number;
  readonly from: number;
  readonly to: number;
};

function cut(stretch: Stretch, steps: Step[]): void {
  const { weeks, flat, least, from, to } = stretch;
  const atEnd = to === flat.length ? LEAST_AT_END : SIDE_WEEKS - 1;
  let best = -1;
  let largest = least;
  for (let row = from + SIDE_WEEKS - 1; row <= to - atEnd; row += 1) {
    const inOneWeek = (flat[row] ?? 0) - (flat[row - 1] ?? 0);
    if (Math.abs(inOneWeek) < IN_ONE_WEEK * largest) continue;
    const change = changeAt(flat, { row, from, to });
    if (Math.abs(change) > largest && inOneWeek / change >= IN_ONE_WEEK) {
      largest = Math.abs(change);
      best = row;
    }
  }
  if (best < 0) return;
  steps.push({ row: best, day: weeks.day[best] ?? 0, change: changeAt(flat, { row: best, from, to }) });
  cut({ ...stretch, to: best }, steps);
  cut({ ...stretch, from: best }, steps);
}

// A knock at a visit or just before it, that a window inside the hold cannot see. It begins no stretch of its own.
function worseAtStart({ weeks, flat, least, from, to }: Stretch): Step | null {
  if (from < LEAST_AT_END || from + LEAST_AT_END > to) return null;
  const day = weeks.day[from] ?? 0;
  if (day - (weeks.day[from - 1] ?? 0) > MOST_APART_DAYS) return null;
  const inOneWeek = (flat[from] ?? 0) - (flat[from - 1] ?? 0);
  const before = medianOfRange(flat, Math.max(0, from - SIDE_WEEKS), from) ?? 0;
  const change = (medianOfRange(flat, from, Math.min(to, from + SIDE_WEEKS)) ?? 0) - before;
  return change > least && inOneWeek >= IN_ONE_WEEK * change ? { row: from, day, change } : null;
}

function changeAt(flat: Float64Array, { row, from, to }: { row: number; from: number; to: number }): number {
  const before = medianOfRange(flat, Math.max(from, row - SIDE_WEEKS), row) ?? 0;
  const after = medianOfRange(flat, row, Math.min(to, row + SIDE_WEEKS)) ?? 0;
  return after - before;
}
