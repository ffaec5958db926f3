import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

/** One week in milliseconds. */
export const WEEK_MS = 7 * DAY_MS;

/** Weeks on which a fleet's past is held. */
export type WeekGrid = { readonly startAt: number; readonly weeks: number };

/** The grid from a first moment to a last. */
export function weekGrid({ startAt, endAt }: Span): WeekGrid {
  const first = Math.floor(startAt / WEEK_MS) * WEEK_MS;
  return { startAt: first, weeks: Math.max(1, Math.ceil((endAt - first) / WEEK_MS)) };
}

/** Days of disjoint spans in each week of a grid. */
export function daysByWeek(spans: readonly Span[], { startAt, weeks }: WeekGrid): Float32Array {
  const days = new Float32Array(weeks);
  for (const span of spans) {
    const from = Math.max(span.startAt, startAt);
    for (let week = Math.floor((from - startAt) / WEEK_MS); week < weeks; week += 1) {
      const open = startAt + week * WEEK_MS;
      if (open >= span.endAt) break;
      days[week] = (days[week] ?? 0) + (Math.min(span.endAt, open + WEEK_MS) - Math.max(from, open)) / DAY_MS;
    }
  }
  return days;
}

/** Running sums of weekly values, one longer than they: sum before each week. */
export function runningSums(values: ArrayLike<number>): Float64Array {
  const sums = new Float64Array(values.length + 1);
  for (let week = 0; week < values.length; week += 1) sums[week + 1] = (sums[week] ?? 0) + (values[week] ?? 0);
  return sums;
}

/** Running sums read at a moment, in proportion within a week; the ends outside the grid. */
export function sumBefore(sums: Float64Array, { startAt }: WeekGrid, at: number): number {
  const position = Math.max(0, Math.min(sums.length - 1, (at - startAt) / WEEK_MS));
  const week = Math.floor(position);
  const low = sums[week] ?? 0;
  return low + (position - week) * ((sums[week + 1] ?? low) - low);
}
