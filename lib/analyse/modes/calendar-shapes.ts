import { isSouth } from "@/lib/analyse/fleet-season";
import type { Cause } from "@/lib/analyse/modes/cause";
import { offsetMsAt, yearFraction } from "@/lib/kernel/time";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import type { Site } from "@/lib/records/site";

/** How strong a cause is over the year and the day of a site, relative to its mean over both, which is 1. */
export type CalendarShape = {
  readonly at: (moment: number) => number;
  /** The same with the hour averaged out. */
  readonly ofDay: (moment: number) => number;
};

/** Causes told apart by calendar and clock. */
export type TimedCause = Extract<
  Cause,
  "cold or steam mornings" | "insects" | "seasonal stock" | "thermal movement" | "blocked path"
>;

const YEAR_BINS = 73;
const HOURS = 24;

/**
 * The shape of a timed cause at a site.
 *
 * Broad on purpose, and the same for every fleet. Source: common practice (condensation comes on mornings of the cold
 * half year, insects in warm nights, stock in working hours of the last quarter, thermal movement in warm afternoons and
 * cold nights, a blocked path in working hours).
 */
export function calendarShape(cause: TimedCause, site: Site): CalendarShape {
  const { table, byYear } = tables[cause];
  const shift = isSouth(site) && cause !== "seasonal stock" ? 0.5 : 0;
  const yearBin = (moment: number) => {
    const turn = (yearFraction(moment, site.timeZone) + shift) % 1;
    return Math.min(YEAR_BINS - 1, Math.floor(turn * YEAR_BINS));
  };
  return {
    at: (moment) => {
      const local = moment + offsetMsAt(moment, site.timeZone);
      const hour = Math.floor((((local % DAY_MS) + DAY_MS) % DAY_MS) / HOUR_MS);
      const week = cause === "blocked path" ? weekday(local) : 1;
      return week * (table[yearBin(moment) * HOURS + hour] ?? 1);
    },
    ofDay: (moment) => byYear[yearBin(moment)] ?? 1,
  };
}

// Halls work on at the weekend, but with fewer people and trucks: mean 1 over the week.
function weekday(local: number): number {
  const day = (Math.floor(local / DAY_MS) + 4) % 7;
  return day === 0 || day === 6 ? 0.5 : 1.2;
}

type Raw = (hour: number, turn: number) => number;

const raw: Readonly<Record<TimedCause, Raw>> = {
  "cold or steam mornings": (hour, turn) => window(hour, 3, 10) * swell(turn, { peak: 0, strength: 1.2 }),
  insects: (hour, turn) => (1.04 - window(hour, 6, 19)) * swell(turn, { peak: 0.55, strength: 1.5 }),
  "seasonal stock": (hour, turn) => window(hour, 6, 20) * (turn >= 0.75 ? 1 : 0.04),
  "thermal movement": (hour, turn) =>
    0.15 +
    window(hour, 11, 19) * swell(turn, { peak: 0.53, strength: 1.5 }) +
    (1 - window(hour, 9, 22)) * swell(turn, { peak: 0.03, strength: 1.5 }),
  "blocked path": (hour) => 0.08 + window(hour, 6, 20),
};

// 1 inside, falling off over one hour on either side, hardly anything outside.
function window(hour: number, from: number, to: number): number {
  if (hour >= from && hour < to) return 1;
  return hour === from - 1 || hour === to ? 0.4 : 0.04;
}

function swell(turn: number, { peak, strength }: { peak: number; strength: number }): number {
  return Math.exp(strength * (Math.cos(2 * Math.PI * (turn - peak)) - 1));
}

function tableOf(shape: Raw): { table: Float64Array; byYear: Float64Array } {
  const table = new Float64Array(YEAR_BINS * HOURS);
  const byYear = new Float64Array(YEAR_BINS);
  for (let bin = 0; bin < YEAR_BINS; bin += 1) {
    for (let hour = 0; hour < HOURS; hour += 1) table[bin * HOURS + hour] = shape(hour, (bin + 0.5) / YEAR_BINS);
  }
  const mean = table.reduce((sum, value) => sum + value, 0) / table.length;
  for (let index = 0; index < table.length; index += 1) {
    const value = (table[index] ?? 0) / mean;
    table[index] = value;
    const bin = Math.floor(index / HOURS);
    byYear[bin] = (byYear[bin] ?? 0) + value / HOURS;
  }
  return { table, byYear };
}

const tables: Readonly<Record<TimedCause, { table: Float64Array; byYear: Float64Array }>> = {
  "cold or steam mornings": tableOf(raw["cold or steam mornings"]),
  insects: tableOf(raw.insects),
  "seasonal stock": tableOf(raw["seasonal stock"]),
  "thermal movement": tableOf(raw["thermal movement"]),
  "blocked path": tableOf(raw["blocked path"]),
};
