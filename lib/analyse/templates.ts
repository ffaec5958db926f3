import type { Threat } from "@/lib/analyse/findings/kind";
import { isSunInView, lookDirections, type Skies, sunGrid } from "@/lib/analyse/sun-views";
import { YEAR_BINS, YEAR_START_AT, type YearGrid } from "@/lib/analyse/year-grid";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { YEAR_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";
import { cyclicIntegral } from "@/lib/statistics/season-integral";

/** Where a template is asked for: the window of most causes depends on the site only, that of the sun on the beam too. */
export type Where = { readonly detector: Detector; readonly site: Site };

/** A cause's usual window on the year and the day, fixed before any alarm is looked at. */
export type AlarmTemplate = {
  readonly cause: Threat;
  /** Relative intensity of the cause's alarms at a moment (ms UTC): 1 inside its window, 0 outside. */
  readonly weightAt: (at: number, where: Where) => number;
  /** The same as a mean over each cell of the year and the day. */
  readonly gridOf: (where: Where, skies: Skies) => YearGrid;
};

const TROPIC_DEG = 23.44;

/** A part of the year (fractions) and of the day (hours of the site's clock); `to` below `from` wraps; null is all of it. */
export type CalendarWindow = {
  readonly year: { readonly from: number; readonly to: number } | null;
  readonly hours: { readonly from: number; readonly to: number };
};

type Window = CalendarWindow & {
  readonly cause: Threat;
  /** Whether it follows the seasons of nature: half a year later in the south, all the year in the tropics. */
  readonly natural: boolean;
};

// Broad on purpose: common practice names seasons and times of day, not dates.
const windows: readonly Window[] = [
  { cause: "cold or steam mornings", year: { from: 0.75, to: 0.25 }, hours: { from: 3, to: 10 }, natural: true },
  { cause: "insects", year: { from: 0.3, to: 0.8 }, hours: { from: 19, to: 6 }, natural: true },
  { cause: "seasonal stock", year: { from: 0.75, to: 1 }, hours: { from: 6, to: 20 }, natural: false },
];

/** The window of a cause at a site; null for one that has no window of the calendar, as the sun. */
export function calendarWindow(cause: Threat, { latitude }: Site): CalendarWindow | null {
  const window = windows.find((one) => one.cause === cause);
  if (!window) return null;
  const { year, hours, natural } = window;
  if (!natural || year === null) return { year, hours };
  if (Math.abs(latitude) < TROPIC_DEG) return { year: null, hours };
  return { year: latitude < 0 ? { from: (year.from + 0.5) % 1, to: (year.to + 0.5) % 1 } : year, hours };
}

/** Whether a moment, as fraction of the year and hour of the day, lies in a window. */
export function isInWindow({ turn, hour }: { turn: number; hour: number }, { year, hours }: CalendarWindow): boolean {
  return (year === null || isBetween(turn, year)) && isBetween(hour, hours);
}

const lowSun: AlarmTemplate = {
  cause: "low sun",
  weightAt: (at, where) => (isSunInView(at, where) ? 1 : 0),
  gridOf: ({ detector, site }, skies) => sunGrid(lookDirections(detector), skies(site)),
};

/**
 * Windows of the causes of unwanted alarms that have a season: low sun, cold mornings, insects, peak stock.
 *
 * Cold mornings are 3 to 10 h of the cold half year, insects fly from 19 to 6 h between about 20 April and 20 October
 * (half a year later in the south; in the tropics, which have no cold half year, at these hours all the year), peak
 * stock is October to December from 6 to 20 h. Common practice, kept broad. Hours are the site's clock; the sun's
 * window follows from where it stands.
 */
export const causeTemplates: readonly AlarmTemplate[] = [lowSun, ...windows.map(({ cause }) => templateOf(cause))];

function templateOf(cause: Threat): AlarmTemplate {
  return {
    cause,
    weightAt: (at, { site }) => {
      const window = calendarWindow(cause, site);
      const moment = { turn: yearFraction(at, site.timeZone), hour: hourOfDay(at, site.timeZone) };
      return window !== null && isInWindow(moment, window) ? 1 : 0;
    },
    gridOf: ({ site }) => {
      const window = calendarWindow(cause, site);
      return window === null ? new Float64Array(YEAR_BINS * 24) : windowGrid(window);
    },
  };
}

/** The grid of a window of the calendar: a part of the year counts by its middle. */
export function windowGrid(window: CalendarWindow): YearGrid {
  return Float64Array.from({ length: YEAR_BINS * 24 }, (_, cell) => {
    return isInWindow({ turn: (Math.floor(cell / 24) + 0.5) / YEAR_BINS, hour: cell % 24 }, window) ? 1 : 0;
  });
}

function isBetween(value: number, { from, to }: { from: number; to: number }): boolean {
  return from < to ? value >= from && value < to : value >= from || value < to;
}

/** Mean weight of each part of the year, its hours counting by `hourWeights` (24 of mean 1). */
export function yearWeights(grid: YearGrid, hourWeights: readonly number[]): number[] {
  return Array.from({ length: YEAR_BINS }, (_, bin) => {
    let sum = 0;
    for (let hour = 0; hour < 24; hour += 1) sum += (grid[bin * 24 + hour] ?? 0) * (hourWeights[hour] ?? 1);
    return sum / 24;
  });
}

/**
 * Time inside a template's window between two moments, in ms of full weight; each call costs the same however long.
 *
 * @param weights - of each part of the year, as {@link yearWeights} gives them; the hours of a day are not told apart
 */
export function templateIntegral(weights: readonly number[]): (startAt: number, endAt: number) => number {
  return cyclicIntegral({ cells: weights, period: YEAR_MS, origin: YEAR_START_AT });
}
