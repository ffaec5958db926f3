import type { Reset } from "@/lib/analyse/drift/resets";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { DAY_MS } from "@/lib/kernel/units";
import { medianInPlace, medianOfRange } from "@/lib/statistics/order-statistics";

/** What may drift: attenuation of the signal in dB, or the used share of compensation in %. */
export type Quantity = "signal" | "compensation";

/**
 * Weeks of one quantity as columns of equal length, oldest first: middle of its days in days since 1970, median value,
 * days with readings, number of resets before it, and mean temperature smoothed over each of `lagsDays` (NaN where none
 * was sent; no columns for compensation). A week is cut at a reset, whose day belongs to none.
 */
export type Weeks = {
  readonly day: Float64Array;
  readonly value: Float64Array;
  readonly days: Float64Array;
  readonly hold: Int32Array;
  readonly temperatures: readonly Float64Array[];
};

/** How slowly a building may follow its air: time constants of the smoothed temperatures, in days. */
export const lagsDays = [0, 10, 30] as const;

/**
 * Weekly medians of a detector between its resets; empty columns without values.
 *
 * A week counts when it has at least half of the days that this detector's weeks usually have, so that the rest of a
 * week beside a reset or a gap does not speak as loud as a whole one.
 */
export function weeksOf(
  signal: SignalSummary,
  { quantity, resets }: { quantity: Quantity; resets: readonly Reset[] },
): Weeks {
  const values = quantity === "signal" ? signal.attenuationDb : signal.compensationPct;
  const rows = weekRows(signal.day, values, resets);
  const usual = medianInPlace(Float64Array.from(rows, ({ from, to }) => to - from)) ?? 0;
  const kept = rows.filter(({ from, to }) => to - from >= usual / 2);
  // Compensation follows what it has taken up, not the heat of the day.
  const smoothed = quantity === "signal" ? lagsDays.map((lag) => smooth(signal, lag)) : [];
  const weeks = {
    day: new Float64Array(kept.length),
    value: new Float64Array(kept.length),
    days: new Float64Array(kept.length),
    hold: new Int32Array(kept.length),
    temperatures: smoothed.map(() => new Float64Array(kept.length)),
  };
  for (const [row, { from, to, hold }] of kept.entries()) {
    weeks.day[row] = meanOfRows(signal.day, from, to) + 0.5;
    weeks.value[row] = medianOfRange(values, from, to) ?? 0;
    weeks.days[row] = to - from;
    weeks.hold[row] = hold;
    for (const [lag, column] of smoothed.entries()) {
      const means = weeks.temperatures[lag];
      if (means) means[row] = meanOfRows(column, from, to);
    }
  }
  return weeks;
}

/** The same weeks without those whose row is not wanted. */
export function keepWeeks(weeks: Weeks, wanted: (row: number) => boolean): Weeks {
  const keep = (column: Float64Array) => column.filter((_, row) => wanted(row));
  return {
    day: keep(weeks.day),
    value: keep(weeks.value),
    days: keep(weeks.days),
    hold: weeks.hold.filter((_, row) => wanted(row)),
    temperatures: weeks.temperatures.map(keep),
  };
}

type WeekRows = { readonly from: number; readonly to: number; readonly hold: number };

function weekRows(day: Float64Array, values: Float64Array, resets: readonly Reset[]): WeekRows[] {
  const rows: WeekRows[] = [];
  let hold = 0;
  let from = 0;
  while (from < day.length) {
    const first = day[from] ?? 0;
    while (hold < resets.length && (resets[hold]?.day ?? Infinity) <= first) hold += 1;
    if (resets[hold - 1]?.day === first || Number.isNaN(values[from])) {
      from += 1;
      continue;
    }
    const until = Math.min(7 * (Math.floor(first / 7) + 1), resets[hold]?.day ?? Infinity);
    let to = from + 1;
    while (to < day.length && (day[to] ?? Infinity) < until && !Number.isNaN(values[to])) to += 1;
    rows.push({ from, to, hold });
    from = to;
  }
  return rows;
}

// First-order lag of the daily temperature; a gap in the readings is bridged by its own length.
function smooth({ day, temperatureC }: SignalSummary, lagDays: number): Float64Array {
  if (lagDays === 0) return temperatureC;
  const column = new Float64Array(day.length);
  let state = Number.NaN;
  let before = 0;
  let gap = 0;
  let share = 0;
  for (let row = 0; row < day.length; row += 1) {
    const today = day[row] ?? 0;
    const temperature = temperatureC[row] ?? Number.NaN;
    if (!Number.isNaN(temperature)) {
      if (today - before !== gap) {
        gap = today - before;
        share = 1 - Math.exp(-gap / lagDays);
      }
      state = Number.isNaN(state) ? temperature : state + share * (temperature - state);
      before = today;
    }
    column[row] = Number.isNaN(temperature) ? Number.NaN : state;
  }
  return column;
}

function meanOfRows(column: Float64Array, from: number, to: number): number {
  let sum = 0;
  let count = 0;
  for (let row = from; row < to; row += 1) {
    const value = column[row] ?? Number.NaN;
    if (Number.isNaN(value)) continue;
    sum += value;
    count += 1;
  }
  return count === 0 ? Number.NaN : sum / count;
}

/** Instant of a moment given in days since 1970. */
export function instantOf(day: number): number {
  return day * DAY_MS;
}
