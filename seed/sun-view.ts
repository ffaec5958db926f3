import type { Chance } from "@/lib/kernel/chance";
import { solarPosition } from "@/lib/kernel/sun";
import { DAY_MS, MINUTE_MS, RADIANS_PER_DEGREE } from "@/lib/kernel/units";
import { between } from "@/seed/draws";

/** How near the sun must come to the receiver's line of sight to blind it, degrees [assumption]. */
export const SUN_VIEW_DEG = 8;

type Place = { readonly latitude: number; readonly longitude: number };

/** Angle between the sun and a horizontal line of sight, degrees; null while the sun is down. */
export function sunAngleDeg(at: number, { latitude, longitude, bearingDeg }: Place & { bearingDeg: number }) {
  const { azimuthDeg, elevationDeg } = solarPosition(at, { latitude, longitude });
  if (elevationDeg <= 0) return null;
  const across = Math.cos(elevationDeg * RADIANS_PER_DEGREE) * Math.cos((azimuthDeg - bearingDeg) * RADIANS_PER_DEGREE);
  return Math.acos(Math.min(1, Math.max(-1, across))) / RADIANS_PER_DEGREE;
}

/**
 * A bearing that meets the sun 4 degrees above the horizon some weeks from an equinox, morning or evening: two bands
 * of dates mirrored about a solstice.
 */
export function sunBearing(chance: Chance, { latitude }: Place): number {
  const declination = (chance() < 0.5 ? -1 : 1) * between(chance, 6, 14) * RADIANS_PER_DEGREE;
  const [elevation, phi] = [4 * RADIANS_PER_DEGREE, latitude * RADIANS_PER_DEGREE];
  const cosine = (Math.sin(declination) - Math.sin(phi) * Math.sin(elevation)) / (Math.cos(phi) * Math.cos(elevation));
  const morning = Math.acos(Math.min(1, Math.max(-1, cosine))) / RADIANS_PER_DEGREE;
  return Math.round(chance() < 0.5 ? morning : 360 - morning);
}

/** Moments of one UTC day, ten minutes apart, at which the sun stands in the receiver's view. */
export function sunMoments(dayAt: number, sight: Place & { bearingDeg: number }): number[] {
  // Morning sun stands east of the meridian: half the day is enough, cut at local noon by longitude.
  const noonAt = dayAt + DAY_MS / 2 - (sight.longitude / 360) * DAY_MS;
  const [from, to] = sight.bearingDeg < 180 ? [noonAt - DAY_MS / 2, noonAt] : [noonAt, noonAt + DAY_MS / 2];
  const moments: number[] = [];
  for (let at = Math.ceil(from / MINUTE_MS) * MINUTE_MS; at < to; at += 10 * MINUTE_MS) {
    const angle = sunAngleDeg(at, sight);
    if (angle !== null && angle <= SUN_VIEW_DEG) moments.push(at);
  }
  return moments;
}
