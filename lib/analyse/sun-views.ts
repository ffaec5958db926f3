import { contains, type Span } from "@/lib/kernel/interval";
import { isInSkyWindow, type SkyWindow, type SunPosition, solarPosition } from "@/lib/kernel/sun";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";

/** When the low sun stands in a receiver's view. */
export type SunView = {
  /** Share of the exposure with the sun in view, weighted by the fleet's alarms over the day. */
  readonly share: number;
  /** Stretches of the year, as fractions, in which the sun is in view at some time of the day. */
  readonly arcs: readonly { readonly from: number; readonly to: number }[];
};

/** Sun views of the fleet's detectors; a site's sky is computed once, when it is first asked for. */
export type SunViews = {
  readonly viewOf: (at: { detector: Detector; site: Site; exposure: readonly Span[] }) => SunView;
};

const STEP_MIN = 10;
const STEP_DAYS = 3;

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

/**
 * Sun views on a grid of ten minutes, every third day of the year before `asOf`.
 *
 * @param hourWeights - 24 weights of mean 1: how alarms of any cause spread over the day of a site
 */
export function sunViews({ asOf, hourWeights }: { asOf: number; hourWeights: readonly number[] }): SunViews {
  const skies = new Map<string, readonly SkyDay[]>();
  const skyOf = (site: Site) => {
    const known = skies.get(site.siteId);
    if (known) return known;
    const sky = skyDays(site, { asOf, hourWeights });
    skies.set(site.siteId, sky);
    return sky;
  };
  return {
    viewOf: ({ detector, site, exposure }) => {
      const windows = lookDirections(detector);
      const days = skyOf(site).map((day) => ({
        fraction: day.fraction,
        years: exposedYears(day.noonAt, exposure),
        share: day.low.reduce((sum, { position, weight }) => {
          return windows.some((window) => isInSkyWindow(position, window)) ? sum + weight : sum;
        }, 0),
      }));
      const exposed = days.reduce((sum, day) => sum + day.years, 0);
      const seen = days.reduce((sum, day) => sum + day.years * day.share, 0);
      return { share: exposed > 0 ? seen / exposed : 0, arcs: arcsOf(days.filter((day) => day.share > 0)) };
    },
  };
}

/** One day of a site's sky: the moments of low sun with their weight as a share of the day. */
type SkyDay = {
  readonly noonAt: number;
  readonly fraction: number;
  readonly low: readonly { readonly position: SunPosition; readonly weight: number }[];
};

function skyDays(site: Site, { asOf, hourWeights }: { asOf: number; hourWeights: readonly number[] }): SkyDay[] {
  const days: SkyDay[] = [];
  const steps = (24 * 60) / STEP_MIN;
  for (let back = 365; back > 0; back -= STEP_DAYS) {
    const startAt = Math.floor(asOf / DAY_MS) * DAY_MS - back * DAY_MS;
    const low: { position: SunPosition; weight: number }[] = [];
    for (let step = 0; step < steps; step += 1) {
      const at = startAt + step * STEP_MIN * MINUTE_MS;
      const position = solarPosition(at, site);
      if (position.elevationDeg < 0 || position.elevationDeg > HIGHEST_SUN_DEG) continue;
      const hour = Math.floor(hourOfDay(at, site.timeZone));
      low.push({ position, weight: (hourWeights[hour] ?? 1) / steps });
    }
    days.push({ noonAt: startAt + DAY_MS / 2, fraction: yearFraction(startAt + DAY_MS / 2, site.timeZone), low });
  }
  return days;
}

// In how many years of its exposure a detector saw this day of the year.
function exposedYears(noonAt: number, exposure: readonly Span[]): number {
  const first = exposure[0]?.startAt ?? Infinity;
  let years = 0;
  for (let at = noonAt; at >= first; at -= 365.25 * DAY_MS) if (contains(exposure, at)) years += 1;
  return years;
}

function arcsOf(days: readonly { readonly fraction: number }[]): { from: number; to: number }[] {
  const step = STEP_DAYS / 365.25;
  const fractions = days.map((day) => day.fraction).sort((a, b) => a - b);
  const arcs: { from: number; to: number }[] = [];
  for (const fraction of fractions) {
    const last = arcs.at(-1);
    if (last && fraction - last.to <= 2 * step) last.to = fraction;
    else arcs.push({ from: fraction, to: fraction });
  }
  return arcs.map(({ from, to }) => ({ from: Math.max(0, from - step / 2), to: Math.min(1, to + step / 2) }));
}
