import type { DetectorHistory } from "@/lib/analyse/history";
import { hourOfDay } from "@/lib/kernel/time";

const LEAST_EVENTS = 50;
// Pseudo-events spread evenly, so that an hour without an alarm is unlikely but not impossible.
const EVEN_EVENTS = 24;

/** Own false-alarm clusters of detectors by hour of their site's day: 24 counts. */
export function alarmHours(histories: readonly DetectorHistory[]): number[] {
  const counts = new Array<number>(24).fill(0);
  for (const { alarmClusters, site } of histories) {
    for (const { beganAt } of alarmClusters) {
      const hour = Math.floor(hourOfDay(beganAt, site.timeZone));
      counts[hour] = (counts[hour] ?? 0) + 1;
    }
  }
  return counts;
}

/**
 * How alarms of any cause spread over the day, as 24 weights of mean 1, without the hours of one detector's own.
 *
 * Smoothed over three hours; null where fewer than 50 alarms are left to learn it from.
 */
export function hourWeights(counts: readonly number[], own: readonly number[] = []): number[] | null {
  const rest = counts.map((count, hour) => count - own.filter((at) => Math.floor(at) === hour).length);
  const total = rest.reduce((sum, count) => sum + count, 0);
  if (total < LEAST_EVENTS) return null;
  return rest.map((count, hour) => {
    const around = (rest[(hour + 23) % 24] ?? 0) + count + (rest[(hour + 1) % 24] ?? 0);
    return (24 * (around / 3 + EVEN_EVENTS / 24)) / (total + EVEN_EVENTS);
  });
}
