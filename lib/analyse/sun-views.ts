import { YEAR_BINS, YEAR_START_AT, type YearGrid } from "@/lib/analyse/year-grid";
import { isInSkyWindow, type SkyWindow, type SunPosition, solarPosition } from "@/lib/kernel/sun";
import { hourOfDay } from "@/lib/kernel/time";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";

const STEPS_AN_HOUR = 6;
const HALF_WIDTH_DEG = 12;
/** Height of the sun in degrees above which a roof or the housing shades the receiver; our own choice. */
export const HIGHEST_SUN_DEG = 25;

/** The directions a receiver may look into: along the beam, and back where either end may be the receiver. */
export function lookDirections({ form, bearingDeg }: Detector): SkyWindow[] {
  const bearings = form === "reflective" ? [bearingDeg] : [bearingDeg, (bearingDeg + 180) % 360];
  return bearings.map((bearing) => ({
    bearingDeg: bearing,
    halfWidthDeg: HALF_WIDTH_DEG,
    elevationMinDeg: 0,
    elevationMaxDeg: HIGHEST_SUN_DEG,
  }));
}

/** Whether the sun stood in a receiver's view at a moment; for two directions, in either. */
export function isSunInView(at: number, { detector, site }: { detector: Detector; site: Site }): boolean {
  const position = solarPosition(at, site);
  return lookDirections(detector).some((window) => isInSkyWindow(position, window));
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

/** Share of each cell of the year and the day with the sun in one of some windows of a site's sky. */
export function sunGrid(views: readonly SkyWindow[], sky: ReturnType<Skies>): YearGrid {
  const grid = new Float64Array(YEAR_BINS * 24);
  for (const { cell, position } of sky) {
    if (views.some((view) => isInSkyWindow(position, view))) grid[cell] = (grid[cell] ?? 0) + 1 / STEPS_AN_HOUR;
  }
  return grid;
}

/** Stretches of the year, as fractions, in which a grid has any weight at some time of the day. */
export function arcsOf(grid: YearGrid): { readonly from: number; readonly to: number }[] {
  const arcs: { from: number; to: number }[] = [];
  for (let bin = 0; bin < YEAR_BINS; bin += 1) {
    if (!grid.subarray(bin * 24, bin * 24 + 24).some((weight) => weight > 0)) continue;
    const last = arcs.at(-1);
    if (last && last.to === bin / YEAR_BINS) last.to = (bin + 1) / YEAR_BINS;
    else arcs.push({ from: bin / YEAR_BINS, to: (bin + 1) / YEAR_BINS });
  }
  return arcs;
}
