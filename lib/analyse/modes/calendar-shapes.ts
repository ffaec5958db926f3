import { isSouth } from "@/lib/analyse/fleet-season";
import type { Cause } from "@/lib/analyse/modes/cause";
import { calendarWindow, windowGrid } from "@/lib/analyse/templates";
import { YEAR_BINS } from "@/lib/analyse/year-grid";
import { offsetMsAt, yearFraction } from "@/lib/kernel/time";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import type { Site } from "@/lib/records/site";

/** How strong a cause is over the year and the day, relative to its mean over both, which is 1. */
export type TimeShape = {
  readonly at: (moment: number) => number;
  /** The same with the hour averaged out. */
  readonly ofDay: (moment: number) => number;
};

/** Causes told apart by calendar and clock. */
export type TimedCause = Extract<
  Cause,
  "cold or steam mornings" | "insects" | "seasonal stock" | "thermal movement" | "blocked path"
>;

const HOURS = 24;
/** What is left of a cause outside its usual window: clocks are set wrong and seasons come early. */
const OUTSIDE = 0.04;

/**
 * The shape of a timed cause at a site; to be made once a site.
 *
 * Mornings, insects and stock have the windows of `calendarWindow`, softened. Source of the others: common practice, the
 * same for every fleet (thermal movement comes in warm afternoons and cold nights, a blocked path in working hours).
 */
export function calendarShape(cause: TimedCause, site: Site): TimeShape {
  const { table, byYear } = normalised(tableOf(cause, site));
  const binOf = new Map<number, number>();
  const yearBin = (moment: number) => {
    const day = Math.floor(moment / DAY_MS);
    const known = binOf.get(day);
    if (known !== undefined) return known;
    const bin = Math.min(YEAR_BINS - 1, Math.floor(yearFraction(moment, site.timeZone) * YEAR_BINS));
    binOf.set(day, bin);
    return bin;
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

/** Hours in which a building that departs from its usual warmth moves most: warm afternoons, cold nights; mean about 1. */
export function thermalHour(hour: number, warmer: boolean): number {
  return warmer ? 0.3 + 2.1 * window(hour, { from: 11, to: 19 }) : 0.3 + 1.5 * (1 - window(hour, { from: 9, to: 22 }));
}

// Halls work on at the weekend, but with fewer people and trucks: mean 1 over the week.
function weekday(local: number): number {
  const day = (Math.floor(local / DAY_MS) + 4) % 7;
  return day === 0 || day === 6 ? 0.5 : 1.2;
}

function tableOf(cause: TimedCause, site: Site): Float64Array {
  const south = isSouth(site) ? 0.5 : 0;
  const shaped = (shape: (hour: number, turn: number) => number) =>
    Float64Array.from({ length: YEAR_BINS * HOURS }, (_, cell) => {
      return shape(cell % HOURS, ((Math.floor(cell / HOURS) + 0.5) / YEAR_BINS + south) % 1);
    });
  if (cause === "blocked path") return shaped((hour) => 2 * OUTSIDE + window(hour, { from: 6, to: 20 }));
  if (cause === "thermal movement") {
    return shaped((hour, turn) => {
      const warm = swell(turn - 0.53) * thermalHour(hour, true);
      return 0.15 + warm + swell(turn - 0.03) * thermalHour(hour, false);
    });
  }
  const inside = calendarWindow(cause, site);
  return inside === null ? shaped(() => 1) : softened(windowGrid(inside));
}

// One hour and one part of the year on either side at part strength, and a little anywhere.
function softened(grid: Float64Array): Float64Array {
  const cell = (bin: number, hour: number) =>
    grid[((bin + YEAR_BINS) % YEAR_BINS) * HOURS + ((hour + HOURS) % HOURS)] ?? 0;
  return grid.map((own, index) => {
    const bin = Math.floor(index / HOURS);
    const hour = index % HOURS;
    const near = Math.max(cell(bin, hour - 1), cell(bin, hour + 1), cell(bin - 1, hour), cell(bin + 1, hour));
    return OUTSIDE + Math.max(own, 0.4 * near);
  });
}

function window(hour: number, { from, to }: { from: number; to: number }): number {
  if (hour >= from && hour < to) return 1;
  return hour === from - 1 || hour === to ? 0.4 : 0;
}

function swell(turn: number): number {
  return Math.exp(1.5 * (Math.cos(2 * Math.PI * turn) - 1));
}

function normalised(table: Float64Array): { table: Float64Array; byYear: Float64Array } {
  const mean = table.reduce((sum, value) => sum + value, 0) / table.length;
  const scaled = table.map((value) => value / mean);
  const byYear = new Float64Array(YEAR_BINS);
  for (const [index, value] of scaled.entries()) {
    const bin = Math.floor(index / HOURS);
    byYear[bin] = (byYear[bin] ?? 0) + value / HOURS;
  }
  return { table: scaled, byYear };
}
