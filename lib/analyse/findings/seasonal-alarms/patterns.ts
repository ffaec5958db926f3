import type { FleetContext } from "@/lib/analyse/fleet-context";
import { intensityAt, isSouth, seasonAngle, seasonOfOthers } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { hourWeights } from "@/lib/analyse/hour-profile";
import { isSunInView } from "@/lib/analyse/sun-views";
import { seededChance } from "@/lib/kernel/chance";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import { wrapAngle } from "@/lib/statistics/circle";
import { binomialPmf, binomialUpper } from "@/lib/statistics/distributions";
import { conditionalMonteCarlo, type EventsOnCircle, exposureWeightedRayleigh } from "@/lib/statistics/season";

/** A way in which alarms may crowd: one season, two seasons half a year apart, a time of day, the sun in view. */
export type PatternKind = "year" | "half_year" | "day" | "sun";

/** One pattern tested: its p-value, where it lies, and how many of the alarms lie there against which even share. */
export type Pattern = {
  readonly kind: PatternKind;
  readonly pValue: number;
  /** As fractions of the year or the day; from < to, `to` may pass 1; empty for the sun. */
  readonly windows: readonly { readonly from: number; readonly to: number }[];
  readonly inside: number;
  readonly total: number;
  readonly evenShare: number;
};

const YEAR_BINS = 72;
const FIRST_DRAWS = 1999;
const MOST_DRAWS = 19_999;
const SCREEN = 0.05;

/** Alarm moments as fractions of the site's year. */
export function yearFractions({ alarmClusters, site }: DetectorHistory): number[] {
  return alarmClusters.map(({ beganAt }) => yearFraction(beganAt, site.timeZone));
}

/** Days observed in each of `bins` equal parts of the site's year. */
export function exposureOnYear({ exposure, site }: DetectorHistory, bins: number): number[] {
  const days = new Array<number>(bins).fill(0);
  for (const { startAt, endAt } of exposure.observed) {
    for (let at = startAt; at < endAt; at += DAY_MS) {
      const length = Math.min(DAY_MS, endAt - at);
      const bin = Math.min(bins - 1, Math.floor(yearFraction(at + length / 2, site.timeZone) * bins));
      days[bin] = (days[bin] ?? 0) + length / DAY_MS;
    }
  }
  return days;
}

/** One season or two a year, against the detector's own exposure and the season of the other detectors. */
export function yearPatterns(history: DetectorHistory, fleet: FleetContext): Pattern[] {
  const fractions = yearFractions(history);
  const south = isSouth(history.site);
  const id = history.detector.detectorId;
  const others = seasonOfOthers(fleet.alarmSeason, {
    detectorId: id,
    angles: history.alarmClusters.map(({ beganAt }) => seasonAngle(beganAt, south)),
  });
  const exposure = exposureOnYear(history, YEAR_BINS).map((days, bin) => {
    const turn = (bin + 0.5) / YEAR_BINS + (south ? 0.5 : 0);
    return others === null ? days : days * intensityAt(others, 2 * Math.PI * turn);
  });
  const half = YEAR_BINS / 2;
  const folded = exposure.slice(0, half).map((days, bin) => days + (exposure[bin + half] ?? 0));
  const year = { angles: fractions.map((fraction) => 2 * Math.PI * fraction), exposure };
  const twice = { angles: fractions.map((fraction) => wrapAngle(4 * Math.PI * fraction)), exposure: folded };
  return [
    patternAt({ kind: "year", history, fractions, exposure, ...crowding(year, `${id} year`) }),
    patternAt({ kind: "half_year", history, fractions, exposure, ...crowding(twice, `${id} half year`) }),
  ];
}

/** A time of the day at which alarms crowd more than the fleet's do; null where the fleet's day is not known. */
export function dayPattern({ alarmClusters, site, detector }: DetectorHistory, fleet: FleetContext): Pattern | null {
  const hours = alarmClusters.map(({ beganAt }) => hourOfDay(beganAt, site.timeZone));
  const exposure = hourWeights(fleet.alarmHours, hours);
  if (exposure === null) return null;
  const fractions = hours.map((hour) => hour / 24);
  const events = { angles: fractions.map((fraction) => 2 * Math.PI * fraction), exposure };
  const { pValue, peak } = crowding(events, `${detector.detectorId} day`);
  const windows = [{ from: peak - 1 / 8, to: peak + 1 / 8 }].map(startingInside);
  return { kind: "day", pValue, ...sharesOf({ fractions, exposure, windows }) };
}

/** Alarms with the sun in the receiver's view, against the share of its watch with the sun there; null if it never is. */
export function sunPattern(history: DetectorHistory, fleet: FleetContext): Pattern | null {
  const { detector, site, alarmClusters } = history;
  const { share } = fleet.sun.viewOf({ detector, site, exposure: history.exposure.observed });
  const total = alarmClusters.length;
  if (!(share > 0) || total === 0) return null;
  const inside = alarmClusters.filter(({ beganAt }) => isSunInView(beganAt, { detector, site })).length;
  const even = { n: total, p: Math.min(1, share) };
  // No alarm at all with the sun in view is half of an outcome, not certainty.
  const pValue = inside === 0 ? 1 - binomialPmf(0, even) / 2 : binomialUpper(inside, even);
  return { kind: "sun", pValue, windows: [], inside, total, evenShare: even.p };
}

function crowding(events: EventsOnCircle, seed: string): { pValue: number; peak: number } {
  const { p, peakAngle } = exposureWeightedRayleigh(events);
  const peak = (peakAngle ?? 0) / (2 * Math.PI);
  if (p > SCREEN) return { pValue: p, peak };
  const pValue = conditionalMonteCarlo({
    ...events,
    draws: FIRST_DRAWS,
    maxDraws: MOST_DRAWS,
    random: seededChance(seed),
  });
  return { pValue, peak };
}

type Place = {
  readonly kind: "year" | "half_year";
  readonly history: DetectorHistory;
  readonly fractions: readonly number[];
  readonly exposure: readonly number[];
  readonly pValue: number;
  readonly peak: number;
};

function patternAt({ kind, history, fractions, exposure, pValue, peak }: Place): Pattern {
  const centres = kind === "year" ? [peak] : [peak / 2, peak / 2 + 0.5];
  const reach = 0.125 / centres.length;
  const windows = centres.map((centre) => startingInside({ from: centre - reach, to: centre + reach }));
  const shares = sharesOf({ fractions, exposure, windows });
  // One bad spell is not a season: without its best year, at least two alarms must still lie in the window.
  const returns = outsideBestYear(history, windows) >= 2;
  return { kind, pValue: returns ? pValue : Math.max(pValue, 0.5), ...shares };
}

function sharesOf({
  fractions,
  exposure,
  windows,
}: {
  fractions: readonly number[];
  exposure: readonly number[];
  windows: Pattern["windows"];
}) {
  const total = exposure.reduce((sum, amount) => sum + amount, 0);
  const inside = exposure.reduce((sum, amount, bin) => {
    return isInside((bin + 0.5) / exposure.length, windows) ? sum + amount : sum;
  }, 0);
  return {
    windows,
    inside: fractions.filter((fraction) => isInside(fraction, windows)).length,
    total: fractions.length,
    evenShare: Math.max(inside / total, 1e-6),
  };
}

function outsideBestYear(history: DetectorHistory, windows: Pattern["windows"]): number {
  const centre = ((windows[0]?.from ?? 0) + (windows[0]?.to ?? 0)) / 2;
  const byYear = new Map<number, number>();
  let total = 0;
  for (const { beganAt } of history.alarmClusters) {
    const fraction = yearFraction(beganAt, history.site.timeZone);
    if (!isInside(fraction, windows)) continue;
    // Years are cut opposite the window, so that a season over the turn of the year stays whole.
    const year = Math.floor(beganAt / YEAR_MS - centre + 0.5);
    byYear.set(year, (byYear.get(year) ?? 0) + 1);
    total += 1;
  }
  return total - Math.max(0, ...byYear.values());
}

function isInside(fraction: number, windows: Pattern["windows"]): boolean {
  return windows.some(
    ({ from, to }) => (fraction >= from && fraction < to) || (fraction + 1 >= from && fraction + 1 < to),
  );
}

function startingInside({ from, to }: { from: number; to: number }): { from: number; to: number } {
  const turn = Math.floor(from);
  return { from: from - turn, to: to - turn };
}
