import type { TimeShape } from "@/lib/analyse/modes/calendar-shapes";
import { isSunInView, lookDirections, type Skies, sunGrid } from "@/lib/analyse/sun-views";
import { YEAR_BINS, YEAR_START_AT } from "@/lib/analyse/year-grid";
import { YEAR_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";

/** Share of its time an ordinary receiver has the low sun in view; it only sets the scale. */
const USUAL_SHARE = 0.03;

/** Low sun in the view of one receiver, in ordinary receivers' means over the year; 0 throughout if it never sees it. */
export function sunShape({ detector, site, skies }: { detector: Detector; site: Site; skies: Skies }): TimeShape {
  const grid = sunGrid(lookDirections(detector), skies(site));
  const byBin = new Float64Array(YEAR_BINS);
  for (const [cell, share] of grid.entries()) {
    const bin = Math.floor(cell / 24);
    byBin[bin] = (byBin[bin] ?? 0) + share / 24 / USUAL_SHARE;
  }
  return {
    at: (moment) => (isSunInView(moment, { detector, site }) ? 1 / USUAL_SHARE : 0),
    ofDay: (moment) => {
      const turn = (moment - YEAR_START_AT) / YEAR_MS;
      return byBin[Math.min(YEAR_BINS - 1, Math.floor((turn - Math.floor(turn)) * YEAR_BINS))] ?? 0;
    },
  };
}
