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
  const setC = wholeSetC.filter((_, row) => inside(row));
  const steps = stepsOf(
    weeks,
    whole.filter((_, row) => inside(row)),
    quantity,
  );
  const starts = new Set(steps.map(({ row }) => row));
  for (const [row, hold] of weeks.hold.entries()) if (row === 0 || hold !== weeks.hold[row - 1]) starts.add(row);
  const [temperature] = weeks.temperatures;
  const known = temperature?.filter((value) => !Number.isNaN(value)) ?? new Float64Array(0);
  const enough = known.length > 0 && known.length >= LEAST_TEMPERATURE_SHARE * weeks.value.length;
  return {
    quantity,
    limit,
    weeks,
    resets,
    steps,
    starts: [...starts].sort((a, b) => a - b),
    setC,
    hasTemperature: quantity === "signal" && enough && Math.max(...known) - Math.min(...known) >= LEAST_RANGE_C,
  };
}

/** Degrees away from the alignment in force, by row, where no temperature was sent 0. */
export function awayOf({ weeks, setC }: Pick<Prepared, "weeks" | "setC">, lag: number): Float64Array {
  const temperature = weeks.temperatures[lag];
  return setC.map((set, row) => {
    const away = (temperature?.[row] ?? Number.NaN) - set;
    return Number.isNaN(away) ? 0 : away;
  });
}

/** The weeks as a regression: years to the last week, degrees and degrees squared, the yearly wave. */
export function seriesFor(
  prepared: Prepared,
  { terms, seasonSd, rows = null }: { terms: Terms; seasonSd: number; rows?: { from: number; to: number } | null },
): LocalLevelSeries {
  const { weeks, starts } = prepared;
  const { from, to } = rows ?? { from: 0, to: weeks.value.length };
  const day = weeks.day.subarray(from, to);
  const last = day[day.length - 1] ?? 0;
  const away = awayOf(prepared, terms.lag).subarray(from, to);
  const columns = [day.map((one) => (one - last) / YEAR_DAYS)];
  const priorSd = [Infinity];
  if (terms.temperature) columns.push(away.map((one) => one / DEGREES));
  if (terms.bow) columns.push(away.map((one) => (one / DEGREES) ** 2));
  while (priorSd.length < columns.length) priorSd.push(Infinity);
  if (terms.season) {
    columns.push(
      day.map((one) => Math.cos(yearAngle(one))),
      day.map((one) => Math.sin(yearAngle(one))),
    );
    priorSd.push(seasonSd, seasonSd);
  }
  const inside = starts.filter((row) => row > from && row < to).map((row) => row - from);
  return {
    starts: [0, ...inside],
    t: day.map((one) => one / 7),
    y: weeks.value.subarray(from, to),
    noise: noiseOf(weeks.days.subarray(from, to)),
    columns,
    priorSd,
  };
}

// The median of one or two days is noisier than that of a week; a detector that reads once a week has no such weeks.
function noiseOf(days: Float64Array): Float64Array {
  const most = Math.min(PART_WEEK_DAYS, medianInPlace(days.slice()) ?? 1);
  return days.map((count) => Math.max(1, most / count));
}

// An alignment is made at the temperature of its day; before the first one that is known, at the usual temperature.
function temperatureAtAlignment(
  weeks: Weeks,
  { signal, resets }: { signal: SignalSummary; resets: readonly Reset[] },
): Float64Array {
  const known = signal.temperatureC.filter((value) => !Number.isNaN(value));
  const usual = medianInPlace(known) ?? Number.NaN;
  const byHold: number[] = [usual];
  let row = 0;
  for (const { day, tasks } of resets) {
    while (row < signal.day.length && (signal.day[row] ?? Infinity) < day) row += 1;
    const now =
      Math.abs((signal.day[row] ?? Infinity) - day) <= 1 ? (signal.temperatureC[row] ?? Number.NaN) : Number.NaN;
    const aligned = tasks.includes("realign") || tasks.includes("replace");
    byHold.push(aligned && !Number.isNaN(now) ? now : (byHold.at(-1) ?? usual));
  }
  return Float64Array.from(weeks.hold, (hold) => byHold[hold] ?? usual);
}

// Movement by temperature taken off by the changes from week to week alone, which no step or slow dirt can spoil.
function flatten(weeks: Weeks, setC: Float64Array): Float64Array {
  const away = awayOf({ weeks, setC }, 0);
  const { hold, value } = weeks;
  const rows: number[] = [];
  for (let row = 1; row < value.length; row += 1) if (hold[row] === hold[row - 1]) rows.push(row);
  if (rows.length < 12) return value;
  const change = (column: Float64Array, row: number) => (column[row] ?? 0) - (column[row - 1] ?? 0);
  const square = away.map((one) => one * one);
  let kept = rows;
  let fit = { a: 0, b: 0, t: 0 };
  for (let round = 0; round < 3; round += 1) {
    fit = twoColumns(kept, {
      y: (row) => change(value, row),
      u: (row) => change(away, row),
      v: (row) => change(square, row),
    });
    const rest = (row: number) =>
      Math.abs(change(value, row) - fit.a * change(away, row) - fit.b * change(square, row));
    const scale = medianInPlace(Float64Array.from(rows, rest)) ?? 0;
    kept = rows.filter((row) => rest(row) <= 4 * scale);
    if (kept.length < 12) break;
  }
  if (fit.t < 4) return value;
  return value.map((one, row) => one - fit.a * (away[row] ?? 0) - fit.b * (square[row] ?? 0));
}

type Changes = Readonly<Record<"y" | "u" | "v", (row: number) => number>>;

function twoColumns(rows: readonly number[], { y, u, v }: Changes): { a: number; b: number; t: number } {
  let [uu, uv, vv, uy, vy, yy] = [0, 0, 0, 0, 0, 0];
  for (const row of rows) {
    const [p, q, r] = [u(row), v(row), y(row)];
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
