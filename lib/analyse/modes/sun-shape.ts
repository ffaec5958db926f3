import type { TimeShape } from "@/lib/analyse/modes/calendar-shapes";
import { lookDirections, type Skies, sunGrid } from "@/lib/analyse/sun-views";
import { YEAR_BINS, YEAR_START_AT } from "@/lib/analyse/year-grid";
import { isInSkyWindow, solarPosition } from "@/lib/kernel/sun";
import { YEAR_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";

/** Share of its time an ordinary receiver has the low sun in view; it only sets the scale. */
const USUAL_SHARE = 0.03;

/** What is left of it outside: bearings are rough, and a strike may be repeated hours later. */
const OUTSIDE = 0.05;

/**
 * Low sun shining on one end of a beam, in ordinary receivers' means over the year; null for an end that is no receiver
 * or never has it in view.
 */
export function sunShape(
  end: 0 | 1,
  { detector, site, skies }: { detector: Detector; site: Site; skies: Skies },
): TimeShape | null {
  const view = lookDirections(detector)[end];
  if (!view) return null;
  const grid = sunGrid([view], skies(site));
  if (!grid.some((share) => share > 0)) return null;
  const byBin = new Float64Array(YEAR_BINS);
  for (const [cell, share] of grid.entries()) {
    const bin = Math.floor(cell / 24);
    byBin[bin] = (byBin[bin] ?? 0) + share / 24 / USUAL_SHARE;
  }
  return {
    at: (moment) => OUTSIDE + (1 - OUTSIDE) * (isInSkyWindow(solarPosition(moment, site), view) ? 1 / USUAL_SHARE : 0),
    ofDay: (moment) => {
      const turn = (moment - YEAR_START_AT) / YEAR_MS;
      return (
        OUTSIDE +
        (1 - OUTSIDE) * (byBin[Math.min(YEAR_BINS - 1, Math.floor((turn - Math.floor(turn)) * YEAR_BINS))] ?? 0)
      );
    },
  };
}
