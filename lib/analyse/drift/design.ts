import type { Reset } from "@/lib/analyse/drift/resets";
import { outlierRows, type Step, stepsOf } from "@/lib/analyse/drift/steps";
import { yearAngle } from "@/lib/analyse/drift/thermal";
import { keepWeeks, type Quantity, type Weeks, weeksOf } from "@/lib/analyse/drift/weeks";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import type { LocalLevelSeries } from "@/lib/statistics/local-level";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** One quantity of a detector, cut where its level was set anew, ready to be fitted. */
export type Prepared = {
  readonly quantity: Quantity;
  readonly limit: number;
  readonly weeks: Weeks;
  readonly resets: readonly Reset[];
  /** Jumps that no work explains; rows count the weeks above. */
  readonly steps: readonly Step[];
  /** Rows at which a segment begins, the first 0. */
  readonly starts: readonly number[];
  /** Temperature at the alignment in force, by row; NaN where none is known. */
  readonly setC: Float64Array;
  readonly hasTemperature: boolean;
  /** Weeks, own variance, and the yearly wave of the rows, whatever terms are fitted. */
  readonly base: Readonly<Record<"t" | "noise" | "cos" | "sin", Float64Array>>;
};

/** What explains the value beside the slope; `lag` counts `lagsDays`. */
export type Terms = {
  readonly temperature: boolean;
  readonly bow: boolean;
  readonly season: boolean;
  readonly lag: number;
};

/** Degrees and degrees squared that make one unit of the fitted columns, so that all are of one size. */
export const DEGREES = 10;
const YEAR_DAYS = 365.25;
const LEAST_TEMPERATURE_SHARE = 0.8;
const LEAST_RANGE_C = 3;
const PART_WEEK_DAYS = 4;
const LEAST_CHANGES = 12;

/** Cuts one quantity of a detector into segments and takes out weeks in which something stood in the beam. */
export function prepare(
  signal: SignalSummary,
  { quantity, limit, resets }: { quantity: Quantity; limit: number; resets: readonly Reset[] },
): Prepared {
  const all = weeksOf(signal, { quantity, resets });
  const wholeSetC = temperatureAtAlignment(all, { signal, resets });
  // Compensation follows what it has taken up, not the heat of the day.
  const whole = quantity === "signal" ? flatten(all, wholeSetC) : all.value;
  const outliers = outlierRows(all, whole, quantity);
  const inside = (row: number) => !outliers.has(row);
  const weeks = outliers.size === 0 ? all : keepWeeks(all, inside);
  const setC = outliers.size === 0 ? wholeSetC : wholeSetC.filter((_, row) => inside(row));
  const flat = outliers.size === 0 ? whole : whole.filter((_, row) => inside(row));
  const steps = stepsOf(weeks, flat, quantity);
  const starts = new Set(steps.map(({ row }) => row));
  for (const [row, hold] of weeks.hold.entries()) if (row === 0 || hold !== weeks.hold[row - 1]) starts.add(row);
  const [temperature] = weeks.temperatures;
  return {
    quantity,
    limit,
    weeks,
    resets,
    steps,
    starts: [...starts].sort((a, b) => a - b),
    setC,
    base: baseOf(weeks),
    hasTemperature: quantity === "signal" && temperature !== undefined && tellsHeat(temperature),
  };
}

function tellsHeat(temperature: Float64Array): boolean {
  let [known, low, high] = [0, Infinity, -Infinity];
  for (const value of temperature) {
    if (Number.isNaN(value)) continue;
    known += 1;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  return known > 0 && known >= LEAST_TEMPERATURE_SHARE * temperature.length && high - low >= LEAST_RANGE_C;
}

function baseOf({ day, days }: Weeks): Prepared["base"] {
  const [t, noise, cos, sin] = [day.slice(), days.slice(), day.slice(), day.slice()];
  // The median of one or two days is noisier than that of a week; a detector that reads once a week has no such weeks.
  const most = Math.min(PART_WEEK_DAYS, medianInPlace(days.slice()) ?? 1);
  for (let row = 0; row < day.length; row += 1) {
    const angle = yearAngle(day[row] ?? 0);
    t[row] = (day[row] ?? 0) / 7;
    noise[row] = Math.max(1, most / (days[row] ?? 1));
    cos[row] = Math.cos(angle);
    sin[row] = Math.sin(angle);
  }
  return { t, noise, cos, sin };
}

/** Degrees away from the alignment in force, by row, where no temperature was sent 0. */
export function awayOf({ weeks, setC }: Pick<Prepared, "weeks" | "setC">, lag: number): Float64Array {
  const away = new Float64Array(setC.length);
  const temperature = weeks.temperatures[lag];
  if (!temperature) return away;
  for (let row = 0; row < away.length; row += 1) {
    const degrees = (temperature[row] ?? Number.NaN) - (setC[row] ?? Number.NaN);
    away[row] = Number.isNaN(degrees) ? 0 : degrees;
  }
  return away;
}

/** The weeks as a regression: years to the last week, degrees and degrees squared, the yearly wave. */
export function seriesFor(
  prepared: Prepared,
  { terms, seasonSd, rows = null }: { terms: Terms; seasonSd: number; rows?: { from: number; to: number } | null },
): LocalLevelSeries {
  const { weeks, starts, base } = prepared;
  const { from, to } = rows ?? { from: 0, to: weeks.value.length };
  const columns = [yearsTo(weeks.day, from, to)];
  const priorSd = [Infinity];
  if (terms.temperature) {
    const degrees = awayOf(prepared, terms.lag).subarray(from, to);
    for (let row = 0; row < degrees.length; row += 1) degrees[row] = (degrees[row] ?? 0) / DEGREES;
    columns.push(degrees);
    if (terms.bow) columns.push(degrees.map((one) => one * one));
  }
  while (priorSd.length < columns.length) priorSd.push(Infinity);
  if (terms.season) {
    columns.push(base.cos.subarray(from, to), base.sin.subarray(from, to));
    priorSd.push(seasonSd, seasonSd);
  }
  const inside = starts.filter((row) => row > from && row < to).map((row) => row - from);
  return {
    starts: [0, ...inside],
    t: base.t.subarray(from, to),
    y: weeks.value.subarray(from, to),
    noise: base.noise.subarray(from, to),
    columns,
    priorSd,
  };
}

function yearsTo(day: Float64Array, from: number, to: number): Float64Array {
  const years = day.slice(from, to);
  const last = day[to - 1] ?? 0;
  for (let row = 0; row < years.length; row += 1) years[row] = ((years[row] ?? 0) - last) / YEAR_DAYS;
  return years;
}

// An alignment is made at the temperature of its day; before the first one that is known, at the usual temperature.
function temperatureAtAlignment(
  weeks: Weeks,
  { signal, resets }: { signal: SignalSummary; resets: readonly Reset[] },
): Float64Array {
  if (weeks.temperatures.length === 0) return new Float64Array(weeks.hold.length).fill(Number.NaN);
  const known = new Float64Array(signal.temperatureC.length);
  let count = 0;
  for (let at = 0; at < known.length; at += 1) {
    const temperature = signal.temperatureC[at] ?? Number.NaN;
    if (!Number.isNaN(temperature)) known[count++] = temperature;
  }
  const usual = medianInPlace(known.subarray(0, count)) ?? Number.NaN;
  const byHold: number[] = [usual];
  let row = 0;
  for (const { day, tasks } of resets) {
    while (row < signal.day.length && (signal.day[row] ?? Infinity) < day) row += 1;
    const now =
      Math.abs((signal.day[row] ?? Infinity) - day) <= 1 ? (signal.temperatureC[row] ?? Number.NaN) : Number.NaN;
    const aligned = tasks.includes("realign") || tasks.includes("replace");
    byHold.push(aligned && !Number.isNaN(now) ? now : (byHold.at(-1) ?? usual));
  }
  const setC = new Float64Array(weeks.hold.length);
  for (let at = 0; at < setC.length; at += 1) setC[at] = byHold[weeks.hold[at] ?? 0] ?? usual;
  return setC;
}

// Movement by temperature taken off by the changes from week to week alone, which no step or slow dirt can spoil.
function flatten(weeks: Weeks, setC: Float64Array): Float64Array {
  const away = awayOf({ weeks, setC }, 0);
  const { hold, value } = weeks;
  const changes = { y: value.slice(), u: value.slice(), v: value.slice() };
  let kept: number[] = [];
  for (let row = 1; row < value.length; row += 1) {
    if (hold[row] !== hold[row - 1]) continue;
    const [now, before] = [away[row] ?? 0, away[row - 1] ?? 0];
    changes.y[row] = (value[row] ?? 0) - (value[row - 1] ?? 0);
    changes.u[row] = now - before;
    changes.v[row] = now * now - before * before;
    kept.push(row);
  }
  const rows = kept;
  if (rows.length < LEAST_CHANGES) return value;
  const rest = new Float64Array(value.length);
  const own = new Float64Array(rows.length);
  let fit = { a: 0, b: 0, t: 0 };
  for (let round = 0; round < 3; round += 1) {
    fit = twoColumns(kept, changes);
    for (const [index, row] of rows.entries()) {
      const expected = fit.a * (changes.u[row] ?? 0) + fit.b * (changes.v[row] ?? 0);
      rest[row] = Math.abs((changes.y[row] ?? 0) - expected);
      own[index] = rest[row] ?? 0;
    }
    const scale = medianInPlace(own) ?? 0;
    kept = rows.filter((row) => (rest[row] ?? 0) <= 4 * scale);
    if (kept.length < LEAST_CHANGES) break;
  }
  if (fit.t < 4) return value;
  return value.map((one, row) => one - fit.a * (away[row] ?? 0) - fit.b * (away[row] ?? 0) ** 2);
}

type Changes = Readonly<Record<"y" | "u" | "v", Float64Array>>;

function twoColumns(rows: readonly number[], { y, u, v }: Changes): { a: number; b: number; t: number } {
  let [uu, uv, vv, uy, vy, yy] = [0, 0, 0, 0, 0, 0];
  for (const row of rows) {
    const [p, q, r] = [u[row] ?? 0, v[row] ?? 0, y[row] ?? 0];
    uu += p * p;
    uv += p * q;
    vv += q * q;
    uy += p * r;
    vy += q * r;
    yy += r * r;
  }
  const determinant = uu * vv - uv * uv;
  if (!(determinant > 1e-9 * uu * vv)) return { a: 0, b: 0, t: 0 };
  const a = (vv * uy - uv * vy) / determinant;
  const b = (uu * vy - uv * uy) / determinant;
  const rest = Math.max(1e-12, yy - a * uy - b * vy);
  return { a, b, t: Math.sqrt(((yy - rest) * rows.length) / (2 * rest)) };
}
