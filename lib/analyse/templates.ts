import type { Threat } from "@/lib/analyse/findings/kind";
import { HIGHEST_SUN_DEG, isSunInView, lookDirections } from "@/lib/analyse/sun-views";
import { isInSkyWindow, type SunPosition, solarPosition } from "@/lib/kernel/sun";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { DAY_MS, MINUTE_MS, YEAR_MS } from "@/lib/kernel/units";
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

/** Mean weight in each cell, `bin * 24 + hour`: {@link YEAR_BINS} equal parts of the year by 24 hours of the site's clock. */
export type YearGrid = Float64Array;

/** Equal parts of the year of a grid: about five days each. */
export const YEAR_BINS = 73;

const STEPS_AN_HOUR = 6;
// Any common year does: from year to year the sun returns to a date within a quarter of a degree.
const YEAR_START_AT = Date.UTC(2025, 0, 1);
const TROPIC_DEG = 23.44;

/** A window of the year and of the day, as fractions of the northern year and hours of the local clock; both may wrap. */
type Window = {
  readonly cause: Threat;
  readonly from: number;
  readonly to: number;
  readonly fromHour: number;
  readonly toHour: number;
  /** Whether the window follows the seasons of nature, so that it moves by half a year in the south. */
  readonly natural: boolean;
};

// Broad on purpose: common practice names seasons and times of day, not dates.
const windows: readonly Window[] = [
  { cause: "cold or steam mornings", from: 0.75, to: 0.25, fromHour: 3, toHour: 10, natural: true },
  { cause: "insects", from: 0.3, to: 0.8, fromHour: 19, toHour: 6, natural: true },
  { cause: "seasonal stock", from: 0.75, to: 1, fromHour: 6, toHour: 20, natural: false },
];

const lowSun: AlarmTemplate = {
  cause: "low sun",
  weightAt: (at, where) => (isSunInView(at, where) ? 1 : 0),
  gridOf: ({ detector, site }, skies) => {
    const grid = new Float64Array(YEAR_BINS * 24);
    const views = lookDirections(detector);
    for (const { cell, position } of skies(site)) {
      if (views.some((view) => isInSkyWindow(position, view))) grid[cell] = (grid[cell] ?? 0) + 1 / STEPS_AN_HOUR;
    }
    return grid;
  },
};

/**
 * Windows of the causes of unwanted alarms that have a season: low sun, cold mornings, insects, peak stock.
 *
 * Cold mornings are 3 to 10 h of the cold half year, insects fly from 19 to 6 h between about 20 April and 20 October
 * (half a year later in the south; in the tropics, which have no cold half year, at these hours all the year), peak
 * stock is October to December from 6 to 20 h. Common practice, kept broad. Hours are the site's clock; the sun's
 * window follows from where it stands.
 */
export const causeTemplates: readonly AlarmTemplate[] = [lowSun, ...windows.map(templateOf)];

function templateOf(window: Window): AlarmTemplate {
  const { cause, fromHour, toHour } = window;
  const inYear = (fraction: number, { latitude }: Site) => {
    if (window.natural && Math.abs(latitude) < TROPIC_DEG) return true;
    const turn = window.natural && latitude < 0 ? (fraction + 0.5) % 1 : fraction;
    return isBetween(turn, window.from, window.to);
  };
  return {
    cause,
    weightAt: (at, { site }) =>
      inYear(yearFraction(at, site.timeZone), site) && isBetween(hourOfDay(at, site.timeZone), fromHour, toHour)
        ? 1
        : 0,
    gridOf: ({ site }) =>
      Float64Array.from({ length: YEAR_BINS * 24 }, (_, cell) => {
        const inside =
          inYear((Math.floor(cell / 24) + 0.5) / YEAR_BINS, site) && isBetween(cell % 24, fromHour, toHour);
        return inside ? 1 : 0;
      }),
  };
}

function isBetween(value: number, from: number, to: number): boolean {
  return from < to ? value >= from && value < to : value >= from || value < to;
}

/** The low sun over a site: its positions on the middle day of each part of the year, ten minutes apart. */
export type Skies = (site: Site) => readonly { readonly cell: number; readonly position: SunPosition }[];

/** Skies that compute a site's sun once, when it is first asked for. */
export function skiesOnce(): Skies {
  const known = new Map<string, ReturnType<Skies>>();
  return (site) => {
    const found = known.get(site.siteId);
    if (found) return found;
    const sky = skyOf(site);
    known.set(site.siteId, sky);
    return sky;
  };
}

function skyOf(site: Site): ReturnType<Skies> {
  const sky: { cell: number; position: SunPosition }[] = [];
  const step = (60 / STEPS_AN_HOUR) * MINUTE_MS;
  for (let bin = 0; bin < YEAR_BINS; bin += 1) {
    const dayAt = YEAR_START_AT + Math.floor(((bin + 0.5) / YEAR_BINS) * 365) * DAY_MS;
    for (let at = dayAt; at < dayAt + DAY_MS; at += step) {
      const position = solarPosition(at, site);
      if (position.elevationDeg < 0 || position.elevationDeg > HIGHEST_SUN_DEG) continue;
      sky.push({ cell: bin * 24 + Math.floor(hourOfDay(at, site.timeZone)), position });
    }
  }
  return sky;
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
