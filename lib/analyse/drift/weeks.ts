import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { DAY_MS } from "@/lib/kernel/units";
import { differenceSigma } from "@/lib/statistics/change-points";
import { meanOf, medianOf } from "@/lib/statistics/descriptive";

/** One week of a detector: middle of its days, median value, mean temperature (null where none was sent). */
export type Week = { readonly at: number; readonly value: number; readonly temperatureC: number | null };

/** Weeks between two resets; nothing may be compared across a reset. */
export type Segment = readonly Week[];

/** What may drift: attenuation of the signal in dB, or the used share of compensation in %. */
export type Quantity = "signal" | "compensation";

const STEP_WEEKS = 4;
const STEP_IN_ONE_WEEK = 0.6;
const STEP_SIGMAS = 6;
const SMALLEST_STEP: Readonly<Record<Quantity, number>> = { signal: 0.3, compensation: 8 };

/**
 * Weekly medians of a detector between its resets, oldest first; empty without values.
 *
 * @param resetsAt - moments of work that sets the level anew; the day itself is left out
 */
export function weeklySegments(
  signal: SignalSummary,
  { quantity, resetsAt }: { quantity: Quantity; resetsAt: readonly number[] },
): Segment[] {
  const values = quantity === "signal" ? signal.attenuationDb : signal.compensationPct;
  const resetDays = resetsAt.map((at) => Math.floor(at / DAY_MS)).sort((a, b) => a - b);
  const segments: Week[][] = [];
  let passed = 0;
  let open: { key: number; days: number[] } | null = null;
  let weeks: Week[] = [];
  const closeWeek = () => {
    if (open) weeks.push(weekOf(open.days, { signal, values }));
    open = null;
  };
  for (let index = 0; index < signal.day.length; index += 1) {
    const day = signal.day[index] ?? 0;
    while (passed < resetDays.length && (resetDays[passed] ?? Infinity) <= day) {
      closeWeek();
      if (weeks.length > 0) segments.push(weeks);
      weeks = [];
      passed += 1;
    }
    if (Number.isNaN(values[index] ?? Number.NaN) || resetDays[passed - 1] === day) continue;
    const key = Math.floor(day / 7);
    const days: number[] = weekDays(open, key);
    if (days.length === 0) closeWeek();
    days.push(index);
    open = { key, days };
  }
  closeWeek();
  if (weeks.length > 0) segments.push(weeks);
  return segments.flatMap((segment) => splitAtSteps(segment, quantity));
}

function weekDays(open: { key: number; days: number[] } | null, key: number): number[] {
  return open !== null && open.key === key ? open.days : [];
}

function weekOf(days: readonly number[], { signal, values }: { signal: SignalSummary; values: Float64Array }): Week {
  const temperatures = days.flatMap((index) => {
    const temperature = signal.temperatureC[index] ?? Number.NaN;
    return Number.isNaN(temperature) ? [] : [temperature];
  });
  const sumOfDays = days.reduce((sum, index) => sum + (signal.day[index] ?? 0) + 0.5, 0);
  return {
    at: (sumOfDays / days.length) * DAY_MS,
    value: medianOf(days.map((index) => values[index] ?? 0)) ?? 0,
    temperatureC: meanOf(temperatures),
  };
}

/**
 * A segment cut where its level jumps within one week: a reset nobody recorded, or a knock.
 *
 * A jump is a change between the medians of four weeks on either side that is large against the weekly noise and
 * happened for the most part between two neighbouring weeks; a slow drift never fulfils that.
 */
export function splitAtSteps(segment: Segment, quantity: Quantity): Segment[] {
  if (segment.length < 2 * STEP_WEEKS) return [segment];
  const values = segment.map((week) => week.value);
  const least = Math.max(SMALLEST_STEP[quantity], STEP_SIGMAS * differenceSigma(values));
  let cut = -1;
  let largest = least;
  for (let at = STEP_WEEKS; at <= values.length - STEP_WEEKS; at += 1) {
    const before = medianOf(values.slice(at - STEP_WEEKS, at)) ?? 0;
    const after = medianOf(values.slice(at, at + STEP_WEEKS)) ?? 0;
    const change = after - before;
    const inOneWeek = (values[at] ?? 0) - (values[at - 1] ?? 0);
    if (Math.abs(change) > largest && inOneWeek / change >= STEP_IN_ONE_WEEK) {
      largest = Math.abs(change);
      cut = at;
    }
  }
  if (cut < 0) return [segment];
  return [...splitAtSteps(segment.slice(0, cut), quantity), ...splitAtSteps(segment.slice(cut), quantity)];
}
