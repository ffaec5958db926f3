import type { Threat } from "@/lib/analyse/findings/kind";
import type { Pattern } from "@/lib/analyse/findings/seasonal-alarms/patterns";
import { isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { meanOf } from "@/lib/statistics/descriptive";
import { normalUpper } from "@/lib/statistics/distributions";

const FITS = 0.6;

/**
 * The cause that fits where and when alarms crowd; null when none does.
 *
 * Low sun needs its own small p-value and half of the alarms with the sun in view. The others are told apart by the
 * hour, the part of the year and, where temperature was sent, by how cold the alarm days were among all days.
 */
export function causeOf(history: DetectorHistory, patterns: readonly Pattern[]): Threat | null {
  const sun = patterns.find((pattern) => pattern.kind === "sun");
  if (sun && sun.pValue < 0.01 && sun.inside >= sun.total / 2) return "low sun";
  const alarms = history.alarmClusters.map(({ beganAt }) => {
    const hour = hourOfDay(beganAt, history.site.timeZone);
    const turn = (yearFraction(beganAt, history.site.timeZone) + (isSouth(history.site) ? 0.5 : 0)) % 1;
    return { hour, turn, calendar: yearFraction(beganAt, history.site.timeZone) };
  });
  const share = (fits: (alarm: (typeof alarms)[number]) => boolean) =>
    alarms.length === 0 ? 0 : alarms.filter(fits).length / alarms.length;
  const mornings = share(({ hour }) => hour >= 3 && hour < 10);
  const coldest = coldChance(history);
  const coldHalf = share(({ turn }) => turn < 0.25 || turn >= 0.75);
  if (mornings >= FITS && (coldest === null ? coldHalf >= FITS : coldest < 0.05)) return "cold or steam mornings";
  const warmHalf = share(({ turn }) => turn >= 0.3 && turn < 0.8);
  if (warmHalf >= FITS && share(({ hour }) => hour >= 19 || hour < 6) >= FITS) return "insects";
  const peakWeeks = share(({ calendar }) => calendar >= 0.75);
  if (peakWeeks >= FITS && share(({ hour }) => hour >= 6 && hour < 20) >= FITS) return "seasonal stock";
  return null;
}

// Chance that days drawn at random would rank as cold among the detector's days; null without temperatures.
function coldChance({ signal, alarmClusters }: DetectorHistory): number | null {
  if (signal === null) return null;
  const sorted = signal.lowestTemperatureC.filter((value) => !Number.isNaN(value)).sort();
  if (sorted.length < 100) return null;
  const dayIndex = new Map(Array.from(signal.day, (day, index) => [day, index] as const));
  const ranks = alarmClusters.flatMap(({ beganAt }) => {
    const index = dayIndex.get(Math.floor(beganAt / DAY_MS));
    const temperature = index === undefined ? undefined : signal.lowestTemperatureC[index];
    if (temperature === undefined || Number.isNaN(temperature)) return [];
    return [sorted.filter((other) => other <= temperature).length / sorted.length];
  });
  const mean = meanOf(ranks);
  if (mean === null || ranks.length < 3) return null;
  return normalUpper((0.5 - mean) * Math.sqrt(12 * ranks.length));
}
