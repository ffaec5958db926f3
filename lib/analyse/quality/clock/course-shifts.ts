import type { PhaseJump } from "@/lib/analyse/quality/clock/phase-jumps";
import type { ReadingTrace } from "@/lib/analyse/quality/reading-trace";
import { medianOf } from "@/lib/statistics/descriptive";

type Days = {
  readonly day: readonly number[];
  readonly real: readonly number[];
  readonly imaginary: readonly number[];
};

const SIDE = 28;
const LEAST_SIDE = 14;
const SPAN_DAYS = 35;
const LEAST_MIN = 30;
const SIGMAS = 6;
/** Where one file ends and another begins, a shift is likelier beforehand, and few such days are asked. */
const SIGMAS_AT_SEAM = 4.5;
const DAY_MIN = 1440;

/** Turns of the course of the day, and the smallest that would usually be told; null without days to compare. */
export type CourseShifts = {
  readonly shifts: readonly PhaseJump[];
  readonly leastMinutes: number | null;
  /** Days with a course. */
  readonly days: number;
};

/**
 * Days at which the whole course of the day moved earlier or later, for readings so frequent that their grid hides it.
 *
 * The first harmonic of up to 28 days before is set against that of up to 28 after (at least 14, none further than 35
 * days away); its turn, as a time of day, is the shift. The standard error comes from the days themselves, doubled in
 * variance for weather that lasts. Told from half an hour and six standard errors on, four and a half at a seam.
 *
 * @param seams - days (UTC, since 1970) at which an import begins
 */
export function courseShifts(traces: readonly ReadingTrace[], { seams }: { seams: ReadonlySet<number> }): CourseShifts {
  const days = siteCourse(traces);
  const errors: number[] = [];
  const found: (PhaseJump & { readonly strength: number })[] = [];
  for (let row = LEAST_SIDE; row + LEAST_SIDE <= days.day.length; row += 1) {
    const shift = shiftAt(days, row);
    if (shift === null) continue;
    errors.push((shift.high - shift.low) / 4);
    const sigmas = seams.has(shift.day) || seams.has(shift.day - 1) ? SIGMAS_AT_SEAM : SIGMAS;
    const times = shift.strength / sigmas;
    if (Math.abs(shift.minutes) >= LEAST_MIN && times >= 1) found.push({ ...shift, strength: times });
  }
  const kept: (PhaseJump & { readonly strength: number })[] = [];
  for (const shift of found.sort((a, b) => b.strength - a.strength || a.day - b.day)) {
    if (kept.every((one) => Math.abs(one.day - shift.day) > SIDE)) kept.push(shift);
  }
  const error = medianOf(errors);
  return {
    shifts: kept.sort((a, b) => a.day - b.day).map(({ strength: _strength, ...jump }) => jump),
    leastMinutes: error === null ? null : Math.max(LEAST_MIN, SIGMAS * error),
    days: days.day.length,
  };
}

function shiftAt({ day, real, imaginary }: Days, row: number): (PhaseJump & { strength: number }) | null {
  const first = day[row] ?? 0;
  let left = row;
  while (left > 0 && row - left < SIDE && first - (day[left - 1] ?? 0) <= SPAN_DAYS) left -= 1;
  let right = row;
  while (right < day.length && right - row < SIDE && (day[right] ?? 0) - first <= SPAN_DAYS) right += 1;
  if (row - left < LEAST_SIDE || right - row < LEAST_SIDE) return null;
  const before = meanOf(real, imaginary, { from: left, to: row });
  const after = meanOf(real, imaginary, { from: row, to: right });
  if (before.size === 0 || after.size === 0) return null;
  const turn = Math.atan2(
    after.imaginary * before.real - after.real * before.imaginary,
    after.real * before.real + after.imaginary * before.imaginary,
  );
  const error = Math.sqrt(2 * (before.variance + after.variance));
  const minutes = (turn / (2 * Math.PI)) * DAY_MIN;
  const half = (2 * error * DAY_MIN) / (2 * Math.PI);
  return {
    beforeDay: day[row - 1] ?? 0,
    day: first,
    minutes,
    low: minutes - half,
    high: minutes + half,
    strength: error > 0 ? Math.abs(turn) / error : Infinity,
  };
}

// Mean wave of some days, and the variance of its angle, in radians, from how the days turn about it.
function meanOf(
  real: readonly number[],
  imaginary: readonly number[],
  { from, to }: { from: number; to: number },
): { real: number; imaginary: number; size: number; variance: number } {
  let a = 0;
  let b = 0;
  for (let row = from; row < to; row += 1) {
    a += real[row] ?? 0;
    b += imaginary[row] ?? 0;
  }
  const size = Math.hypot(a, b);
  if (size === 0) return { real: 0, imaginary: 0, size, variance: 0 };
  let squares = 0;
  for (let row = from; row < to; row += 1) {
    const across = ((imaginary[row] ?? 0) * a - (real[row] ?? 0) * b) / size;
    squares += across * across;
  }
  return { real: a, imaginary: b, size, variance: squares / (size * size) };
}

function siteCourse(traces: readonly ReadingTrace[]): Days {
  const sums = new Map<number, { real: number; imaginary: number }>();
  for (const { day, course } of traces) {
    if (course === null) continue;
    const turned = meanDirection(course);
    if (turned === null) continue;
    for (let row = 0; row < day.length; row += 1) {
      const a = course.real[row] ?? Number.NaN;
      const b = course.imaginary[row] ?? Number.NaN;
      if (Number.isNaN(a) || Number.isNaN(b)) continue;
      const key = day[row] ?? 0;
      const sum = sums.get(key) ?? { real: 0, imaginary: 0 };
      // Turned back by its own usual angle: one detector's signal rises with heat where another's falls.
      sum.real += a * turned.real + b * turned.imaginary;
      sum.imaginary += b * turned.real - a * turned.imaginary;
      sums.set(key, sum);
    }
  }
  const day = [...sums.keys()].sort((a, b) => a - b);
  return {
    day,
    real: day.map((one) => sums.get(one)?.real ?? 0),
    imaginary: day.map((one) => sums.get(one)?.imaginary ?? 0),
  };
}

function meanDirection({ real, imaginary }: NonNullable<ReadingTrace["course"]>) {
  let a = 0;
  let b = 0;
  for (let row = 0; row < real.length; row += 1) {
    const x = real[row] ?? Number.NaN;
    if (Number.isNaN(x)) continue;
    a += x;
    b += imaginary[row] ?? 0;
  }
  const size = Math.hypot(a, b);
  return size > 0 ? { real: a / size, imaginary: b / size } : null;
}
