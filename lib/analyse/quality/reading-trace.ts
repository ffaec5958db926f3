import { type DailyCourse, dailyCourse } from "@/lib/analyse/quality/clock/daily-course";
import { type RepeatTrace, repeatsOf } from "@/lib/analyse/quality/repeats";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";

/** Readings closer together than usual: how many so many minutes apart, and how many of them say the same. */
export type CloseReadings = {
  readonly minutes: number;
  readonly count: number;
  readonly same: number;
  readonly firstAt: number;
  readonly lastAt: number;
};

/** What the checks of clocks and of repeated values need of one detector's readings, so that they need not be kept. */
export type ReadingTrace = {
  readonly count: number;
  /** Usual time between readings in whole minutes, up to a day; null where there is none. */
  readonly stepMs: number | null;
  /** Days since 1970 (UTC) with readings, oldest first. */
  readonly day: Int32Array;
  /** Where the day's readings stand in the step, ms, followed from day to day; NaN where they stand at several places. */
  readonly phaseMs: Float64Array;
  /** Null for readings less often than every three hours. */
  readonly course: DailyCourse | null;
  readonly repeats: RepeatTrace;
  readonly close: readonly CloseReadings[];
};

const LONGEST_STEP_MS = 25 * HOUR_MS;
const STEP_TOLERANCE = 0.02;
const WIDEST_MS = 30 * MINUTE_MS;
const CLOSE_SHARE = 0.9;
const MOST_GAPS = 48;

/**
 * Reduces one detector's readings to their trace.
 *
 * @param series - oldest first
 * @param usualIntervalMs - median time between them, as in its summary; null for a single reading
 * Cost: O(readings).
 */
export function traceReadings(
  series: ReadingSeries,
  { usualIntervalMs }: { usualIntervalMs: number | null },
): ReadingTrace {
  const { readAt } = series;
  const stepMs = stepOf(usualIntervalMs);
  const starts = dayStarts(readAt);
  const day = Int32Array.from(starts, (from) => Math.floor((readAt[from] ?? 0) / DAY_MS));
  return {
    count: readAt.length,
    stepMs,
    day,
    phaseMs: stepMs === null ? new Float64Array(day.length).fill(Number.NaN) : phasesOf(readAt, { starts, stepMs }),
    course: stepMs === null ? null : dailyCourse(series, { starts, stepMs }),
    repeats: repeatsOf(series),
    close: stepMs === null ? [] : closeReadings(series, stepMs),
  };
}

/** `ms` moved by whole steps into [-step/2, step/2). */
export function wrapped(ms: number, stepMs: number): number {
  return ms - stepMs * Math.floor(ms / stepMs + 0.5);
}

function stepOf(usualIntervalMs: number | null): number | null {
  if (usualIntervalMs === null || usualIntervalMs > LONGEST_STEP_MS) return null;
  const step = Math.round(usualIntervalMs / MINUTE_MS) * MINUTE_MS;
  if (step < MINUTE_MS || Math.abs(step - usualIntervalMs) > STEP_TOLERANCE * step) return null;
  return step;
}

function dayStarts(readAt: Float64Array): number[] {
  const starts: number[] = [];
  let next = -Infinity;
  for (let index = 0; index < readAt.length; index += 1) {
    const at = readAt[index] ?? 0;
    if (at < next) continue;
    starts.push(index);
    next = (Math.floor(at / DAY_MS) + 1) * DAY_MS;
  }
  return starts;
}

function phasesOf(
  readAt: Float64Array,
  { starts, stepMs }: { starts: readonly number[]; stepMs: number },
): Float64Array {
  const phases = new Float64Array(starts.length).fill(Number.NaN);
  const widest = Math.min(WIDEST_MS, stepMs / 4);
  // Followed from day to day, so that a clock that wanders past the end of the step does not seem to jump.
  let reference = readAt[0] ?? 0;
  reference -= stepMs * Math.floor(reference / stepMs);
  for (let row = 0; row < starts.length; row += 1) {
    const from = starts[row] ?? 0;
    const to = starts[row + 1] ?? readAt.length;
    const first = (readAt[from] ?? 0) - reference;
    const middle = wrapped(first, stepMs);
    let low = 0;
    let high = 0;
    let sum = 0;
    for (let index = from + 1; index < to; index += 1) {
      const away = wrapped((readAt[index] ?? 0) - reference - middle, stepMs);
      if (away < low) low = away;
      if (away > high) high = away;
      sum += away;
    }
    if (high - low > widest) continue;
    reference += middle + sum / (to - from);
    phases[row] = reference;
  }
  return phases;
}

function closeReadings({ readAt, signalPct, temperatureC }: ReadingSeries, stepMs: number): CloseReadings[] {
  const found = new Map<number, { minutes: number; count: number; same: number; firstAt: number; lastAt: number }>();
  const limit = CLOSE_SHARE * stepMs;
  for (let index = 1; index < readAt.length; index += 1) {
    const at = readAt[index] ?? 0;
    const gap = at - (readAt[index - 1] ?? 0);
    if (gap >= limit) continue;
    const minutes = Math.round(gap / MINUTE_MS);
    const known = found.get(minutes);
    if (!known && found.size >= MOST_GAPS) continue;
    const entry = known ?? { minutes, count: 0, same: 0, firstAt: at, lastAt: at };
    if (!known) found.set(minutes, entry);
    entry.count += 1;
    entry.lastAt = at;
    const temperature = temperatureC[index] ?? Number.NaN;
    const before = temperatureC[index - 1] ?? Number.NaN;
    const sameTemperature = temperature === before || (Number.isNaN(temperature) && Number.isNaN(before));
    if (sameTemperature && signalPct[index] === signalPct[index - 1]) entry.same += 1;
  }
  return [...found.values()];
}
