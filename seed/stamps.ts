import { instantOfWallTime, offsetMsAt, wallTimeOf } from "@/lib/kernel/time";
import { MINUTE_MS } from "@/lib/kernel/units";
import type { DemoSite } from "@/seed/fleet";

/**
 * Moment as a site writes it: wall time with its offset, or without one at a site that leaves it out.
 *
 * A wall time the clock shows twice gets its offset everywhere, since it could not be read back without. Seconds are
 * left out where there are none to tell (`seconds: false`).
 */
export function stampOf(at: number, { site, seconds }: { site: DemoSite; seconds: boolean }): string {
  const zone = site.country.timeZone;
  const offsetMs = offsetMsAt(at, zone);
  const wall = new Date(at + offsetMs).toISOString().slice(0, seconds ? 19 : 16);
  if (site.wallTimes && instantOfWallTime(wallTimeOf(at, zone), zone, "refuse").ok) return wall;
  const minutes = Math.abs(offsetMs) / MINUTE_MS;
  const two = (value: number) => String(value).padStart(2, "0");
  return `${wall}${offsetMs < 0 ? "-" : "+"}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}
