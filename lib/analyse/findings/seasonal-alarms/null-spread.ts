import type { FindingsContext } from "@/lib/analyse/findings-context";
import { intensityAt, isSouth, seasonAngle, seasonOfOthers } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { hourWeights, usualDay } from "@/lib/analyse/hour-profile";
import { YEAR_BINS, type YearGrid } from "@/lib/analyse/year-grid";
import type { Span } from "@/lib/kernel/interval";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import type { Site } from "@/lib/records/site";

/** What the fleet lends to the judgement of one detector's alarms. */
export type AlarmBackground = Pick<FindingsContext, "alarmSeason" | "alarmHours" | "alarmDispersion" | "skies">;

/** One cluster of alarms on the site's calendar and clock. */
export type Alarm = { readonly at: number; readonly turn: number; readonly hour: number };

/** How a detector's alarms would spread over the year and the day without a cause of its own. */
export type NullSpread = {
  /** By equal parts of the year: the detector's own exposure times the season of the other detectors. */
  readonly year: readonly number[];
  /** 24 weights of mean 1, as the alarms of the other detectors spread; null where the fleet has too few. */
  readonly day: readonly number[] | null;
  /** Relative intensity of the others' season at a moment, 1 where they show none. */
  readonly seasonAt: (at: number) => number;
};

/** A detector's clusters of unwanted alarms on the calendar and clock of its site. */
export function alarmsOf({ alarmClusters, site }: DetectorHistory): Alarm[] {
  return alarmClusters.map(({ beganAt }) => ({
    at: beganAt,
    turn: yearFraction(beganAt, site.timeZone),
    hour: hourOfDay(beganAt, site.timeZone),
  }));
}

/** What all the other detectors let expect of one detector's year and day, given when it was watched. */
export function nullSpread(history: DetectorHistory, fleet: AlarmBackground): NullSpread {
  const { detector, site, exposure } = history;
  const south = isSouth(site);
  const alarms = alarmsOf(history);
  const others = seasonOfOthers(fleet.alarmSeason, {
    detectorId: detector.detectorId,
    angles: alarms.map(({ at }) => seasonAngle(at, south)),
  });
  const days = exposureOnYear(exposure.observed, site, YEAR_BINS);
  return {
    year: days.map((amount, bin) => {
      const turn = (bin + 0.5) / YEAR_BINS + (south ? 0.5 : 0);
      return others === null ? amount : amount * intensityAt(others, 2 * Math.PI * turn);
    }),
    day: hourWeights(
      fleet.alarmHours,
      alarms.map(({ hour }) => hour),
    ),
    seasonAt: (at) => (others === null ? 1 : intensityAt(others, seasonAngle(at, south))),
  };
}

/** Days observed in each of `bins` equal parts of the site's year. */
export function exposureOnYear(observed: readonly Span[], site: Site, bins: number): number[] {
  const days = new Array<number>(bins).fill(0);
  for (const { startAt, endAt } of observed) {
    for (let at = startAt; at < endAt; at += DAY_MS) {
      const length = Math.min(DAY_MS, endAt - at);
      const bin = Math.min(bins - 1, Math.floor(yearFraction(at + length / 2, site.timeZone) * bins));
      days[bin] = (days[bin] ?? 0) + length / DAY_MS;
    }
  }
  return days;
}

const evenDay: readonly number[] = new Array<number>(24).fill(1);

/**
 * Share of a detector's alarms that would fall in a window without a cause, 0 to 1.
 *
 * Where the fleet does not tell its day, the larger of an even day and a usual one: neither may make a finding.
 */
export function shareOf(grid: YearGrid, { year, day }: Pick<NullSpread, "year" | "day">): number {
  const under = (hours: readonly number[]) => {
    let inside = 0;
    let total = 0;
    for (const [bin, amount] of year.entries()) {
      for (const [hour, weight] of hours.entries()) {
        inside += amount * weight * (grid[bin * 24 + hour] ?? 0);
        total += amount * weight;
      }
    }
    return total > 0 ? Math.min(1, inside / total) : 0;
  };
  return day === null ? Math.max(under(evenDay), under(usualDay)) : under(day);
}
