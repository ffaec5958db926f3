import type { NullSpread } from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import type { DetectorHistory } from "@/lib/analyse/history";
import { usualDay } from "@/lib/analyse/hour-profile";
import { calendarWindow } from "@/lib/analyse/templates";
import { contains } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

/** The mornings of a detector's coldest days, by its own temperatures. */
export type ColdWindow = {
  readonly hours: { readonly from: number; readonly to: number };
  /** Share of its alarms that would fall there without a cause. */
  readonly share: number;
  /** Whether an alarm fell there; null on a day without temperature. */
  readonly isInside: (alarm: { readonly at: number; readonly hour: number }) => boolean | null;
};

const COLD_SHARE = 1 / 3;
const LEAST_DAYS = 200;
const LEAST_KNOWN = 0.75;

/**
 * Mornings of the coldest third of a detector's watched days, each day by its lowest temperature.
 *
 * Null where temperature is known on fewer than 200 watched days or for fewer than three in four alarms: the calendar's
 * cold half year must do then.
 */
export function coldWindow(history: DetectorHistory, spread: NullSpread): ColdWindow | null {
  const hours = calendarWindow("cold or steam mornings", history.site)?.hours;
  const days = watchedDays(history);
  if (hours === undefined || days.length < LEAST_DAYS) return null;
  const sorted = Float64Array.from(days, ({ lowestC }) => lowestC).sort();
  const limitC = sorted[Math.floor(COLD_SHARE * (sorted.length - 1))] ?? -Infinity;
  const byDay = new Map(days.map(({ day, lowestC }) => [day, lowestC <= limitC]));
  const coldOn = (at: number) => byDay.get(Math.floor(at / DAY_MS)) ?? null;
  const known = history.alarmClusters.filter(({ beganAt }) => coldOn(beganAt) !== null).length;
  if (known < LEAST_KNOWN * history.alarmClusters.length) return null;
  const weights = days.map(({ day, lowestC }) => ({
    weight: spread.seasonAt((day + 0.5) * DAY_MS),
    cold: lowestC <= limitC,
  }));
  const total = weights.reduce((sum, { weight }) => sum + weight, 0);
  const cold = weights.reduce((sum, one) => sum + (one.cold ? one.weight : 0), 0);
  return {
    hours,
    share: (cold / total) * hourShare(hours, spread.day),
    isInside: ({ at, hour }) => {
      const isCold = coldOn(at);
      return isCold === null ? null : isCold && hour >= hours.from && hour < hours.to;
    },
  };
}

function watchedDays({ signal, exposure }: DetectorHistory): { day: number; lowestC: number }[] {
  if (signal === null) return [];
  return Array.from(signal.day).flatMap((day, index) => {
    const lowestC = signal.lowestTemperatureC[index] ?? Number.NaN;
    return Number.isNaN(lowestC) || !contains(exposure.observed, (day + 0.5) * DAY_MS) ? [] : [{ day, lowestC }];
  });
}

function hourShare({ from, to }: ColdWindow["hours"], day: readonly number[] | null): number {
  const under = (hours: readonly number[]) => hours.slice(from, to).reduce((sum, weight) => sum + weight, 0) / 24;
  return day === null ? Math.max((to - from) / 24, under(usualDay)) : under(day);
}
