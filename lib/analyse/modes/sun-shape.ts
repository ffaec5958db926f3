import { isSunInView, lookDirections } from "@/lib/analyse/sun-views";
import { isInSkyWindow, type SunPosition, solarPosition } from "@/lib/kernel/sun";
import { DAY_MS, MINUTE_MS, YEAR_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";

/** How much of a receiver's time the low sun takes, relative to an ordinary receiver's mean over the year. */
export type SunShape = { readonly at: (moment: number) => number; readonly ofDay: (moment: number) => number };

/** Share of its time an ordinary receiver has the low sun in view; it only sets the scale. */
const USUAL_SHARE = 0.03;
const STEP_DAYS = 5;
const STEP_MIN = 20;
const YEAR_STEPS = 73;
const HIGHEST_DEG = 25;
const EPOCH_AT = Date.UTC(2024, 0, 1);

/** Positions of the low sun at a site, a list for every fifth day of a year; to be made once a site. */
export type LowSky = readonly (readonly SunPosition[])[];

/** The low sun over a site on a grid of 20 minutes; the sun's year repeats closely enough for one to stand for all. */
export function lowSky(site: Site): LowSky {
  return Array.from({ length: YEAR_STEPS }, (_, step) => {
    const startAt = EPOCH_AT + step * STEP_DAYS * DAY_MS;
    const low: SunPosition[] = [];
    for (let at = startAt; at < startAt + DAY_MS; at += STEP_MIN * MINUTE_MS) {
      const position = solarPosition(at, site);
      if (position.elevationDeg >= 0 && position.elevationDeg <= HIGHEST_DEG) low.push(position);
    }
    return low;
  });
}

/** Low sun in the view of one receiver; 0 throughout for one that never sees it. */
export function sunShape({ detector, site, sky }: { detector: Detector; site: Site; sky: LowSky }): SunShape {
  const windows = lookDirections(detector);
  const stepsADay = (24 * 60) / STEP_MIN;
  const byStep = sky.map((low) => {
    const seen = low.filter((position) => windows.some((window) => isInSkyWindow(position, window))).length;
    return seen / stepsADay / USUAL_SHARE;
  });
  return {
    at: (moment) => (isSunInView(moment, { detector, site }) ? 1 / USUAL_SHARE : 0),
    ofDay: (moment) => {
      const turn = (((moment - EPOCH_AT) % YEAR_MS) + YEAR_MS) % YEAR_MS;
      return byStep[Math.min(YEAR_STEPS - 1, Math.floor(turn / (STEP_DAYS * DAY_MS)))] ?? 0;
    },
  };
}
