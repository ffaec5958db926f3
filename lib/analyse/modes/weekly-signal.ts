import { WEEK_MS, type WeekGrid } from "@/lib/analyse/modes/week-grid";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { DAY_MS } from "@/lib/kernel/units";

/** Weekly values of a detector on a grid; NaN in weeks without. */
export type WeeklySignal = {
  /** Mean of the days' median attenuations, outermost day of a week with four or more left out on each side. */
  readonly db: Float32Array;
  readonly compensation: Float32Array;
  readonly temperatureC: Float32Array;
  /** Attenuation at the lowest signal of the week. */
  readonly dip: Float32Array;
  /** Mean swing of a day, dB. */
  readonly daily: Float32Array;
  /** Usual change from week to week. */
  readonly noiseDb: number;
};

const DEEPEST_DB = 6;
const DEEPEST_DIP_DB = 12;

/** The days of a summary gathered to the weeks of a grid; days outside it are left out. */
export function weeklySignal(signal: SignalSummary, grid: WeekGrid): WeeklySignal {
  const column = () => new Float32Array(grid.weeks).fill(Number.NaN);
  const weekly = { db: column(), compensation: column(), temperatureC: column(), daily: column(), dip: column() };
  const startDay = grid.startAt / DAY_MS;
  for (let from = 0; from < signal.day.length; ) {
    const week = Math.floor((((signal.day[from] ?? 0) - startDay) * DAY_MS) / WEEK_MS);
    let to = from + 1;
    while (to < signal.day.length && Math.floor((((signal.day[to] ?? 0) - startDay) * DAY_MS) / WEEK_MS) === week)
      to += 1;
    if (week >= 0 && week < grid.weeks) {
      weekly.db[week] = trimmedMean(signal.attenuationDb, { from, to });
      weekly.compensation[week] = trimmedMean(signal.compensationPct, { from, to });
      weekly.temperatureC[week] = trimmedMean(signal.temperatureC, { from, to });
      weekly.dip[week] = dipDb(signal, { from, to });
      weekly.daily[week] = dailySwing(signal, from, to);
    }
    from = to;
  }
  return { ...weekly, noiseDb: noiseOf(weekly.db) };
}

/** Attenuation at the lowest signal of some days, at most 12 dB and not below 0. */
export function dipDb({ lowestSignalPct }: SignalSummary, { from, to }: { from: number; to: number }): number {
  let lowest = 100;
  for (let index = from; index < to; index += 1) lowest = Math.min(lowest, lowestSignalPct[index] ?? 100);
  return Math.min(DEEPEST_DIP_DB, -10 * Math.log10(Math.max(lowest, 0.1) / 100));
}

/** Mean of the days' values of a stretch without its two outermost; NaN without values. */
export function trimmedMean(values: Float64Array, { from, to }: { from: number; to: number }): number {
  let sum = 0;
  let count = 0;
  let lowest = Infinity;
  let highest = -Infinity;
  for (let index = from; index < to; index += 1) {
    const value = values[index] ?? Number.NaN;
    if (Number.isNaN(value)) continue;
    sum += value;
    count += 1;
    lowest = Math.min(lowest, value);
    highest = Math.max(highest, value);
  }
  if (count === 0) return Number.NaN;
  return count >= 4 ? (sum - lowest - highest) / (count - 2) : sum / count;
}

function dailySwing({ lowestSignalPct, highestSignalPct }: SignalSummary, from: number, to: number): number {
  let least = Infinity;
  let sum = 0;
  let count = 0;
  for (let index = from; index < to; index += 1) {
    const low = lowestSignalPct[index] ?? 0;
    if (!(low > 0)) continue;
    const swing = Math.min(DEEPEST_DB, 10 * Math.log10((highestSignalPct[index] ?? low) / low));
    least = Math.min(least, swing);
    sum += swing;
    count += 1;
  }
  if (count === 0) return Number.NaN;
  // The calmer half: one blocked minute is no movement of the building.
  return (least + sum / count) / 2;
}

function noiseOf(db: Float32Array): number {
  const changes: number[] = [];
  for (let week = 1; week < db.length; week += 1) {
    const change = Math.abs((db[week] ?? Number.NaN) - (db[week - 1] ?? Number.NaN));
    if (!Number.isNaN(change)) changes.push(change);
  }
  changes.sort((a, b) => a - b);
  return changes[changes.length >> 1] ?? 0;
}
