import type { Threat } from "@/lib/analyse/findings/kind";
import { coldWindow } from "@/lib/analyse/findings/seasonal-alarms/cold-days";
import { type Alarm, alarmsOf, type NullSpread, shareOf } from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import { withoutBadSpell } from "@/lib/analyse/findings/seasonal-alarms/one-bad-spell";
import type { DetectorHistory } from "@/lib/analyse/history";
import { arcsOf, lookDirections, type Skies, sunGrid } from "@/lib/analyse/sun-views";
import { type CalendarWindow, calendarWindow, isInWindow, windowGrid } from "@/lib/analyse/templates";
import { seededChance } from "@/lib/kernel/chance";
import { isInSkyWindow, solarPosition } from "@/lib/kernel/sun";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import { binomialPmf, binomialUpper } from "@/lib/statistics/distributions";
import { conditionalMonteCarlo, exposureWeightedRayleigh } from "@/lib/statistics/season";

/** In what way alarms crowd: where the sun stands, in the calendar window of a cause, or around a peak of their own. */
export type PatternKind = "sun" | "calendar" | "cold days" | "year" | "day";

/** One pattern tested: its p-value, the cause it speaks for, and how many of the alarms lie in it against which even share. */
export type Pattern = {
  readonly kind: PatternKind;
  readonly cause: Threat | null;
  readonly pValue: number;
  /** Null for the sun, whose window moves with the day. */
  readonly window: CalendarWindow | null;
  readonly inside: number;
  readonly total: number;
  readonly evenShare: number;
  /** The same counts after the excess of one bad year is left out: what the p-value rests on. */
  readonly counted: { readonly inside: number; readonly total: number };
};

const calendarCauses: readonly Threat[] = ["cold or steam mornings", "insects", "seasonal stock"];
const FIRST_DRAWS = 1999;
const SCREEN = 0.05;
const NO_RETURN_P = 0.5;
const SUN_SPELL_DAYS = 45;
const WEEKS_13 = 0.25;
const HOURS_6 = 6;

/** Alarms in the windows of the causes known beforehand, each against its exact binomial share. */
export function causePatterns(history: DetectorHistory, spread: NullSpread): Pattern[] {
  const alarms = alarmsOf(history);
  return calendarCauses.flatMap((cause) => {
    const cold = cause === "cold or steam mornings" ? coldWindow(history, spread) : null;
    if (cold !== null) {
      const inside = alarms.map(({ at, hour }) => cold.isInside({ at, hour }));
      const seen = alarms.filter((_, index) => inside[index] !== null);
      const flags = inside.filter((flag) => flag !== null);
      const fixed = { kind: "cold days", cause, window: { year: null, hours: cold.hours } } as const;
      return [windowPattern(fixed, { alarms: seen, flags, share: cold.share, history })];
    }
    const window = calendarWindow(cause, history.site);
    if (window === null) return [];
    const flags = alarms.map((alarm) => isInWindow(alarm, window));
    const share = shareOf(windowGrid(window), spread);
    return [windowPattern({ kind: "calendar", cause, window }, { alarms, flags, share, history })];
  });
}

type Fixed = Pick<Pattern, "kind" | "cause" | "window">;
type Seen = {
  readonly alarms: readonly Alarm[];
  readonly flags: readonly boolean[];
  readonly share: number;
  readonly history: DetectorHistory;
};

function windowPattern(fixed: Fixed, { alarms, flags, share, history }: Seen): Pattern {
  const { kept, returns } = returning(fixed.window, { alarms, flags, history });
  const inside = flags.filter(Boolean).length;
  const counted = { inside: kept.filter((index) => flags[index]).length, total: kept.length };
  const pValue = shareP(counted, share);
  return {
    ...fixed,
    pValue: returns ? pValue : Math.max(pValue, NO_RETURN_P),
    inside,
    total: alarms.length,
    evenShare: share,
    counted,
  };
}

// No alarm inside is half of an outcome, not certainty.
function shareP({ inside, total }: { inside: number; total: number }, share: number): number {
  const even = { n: total, p: share };
  return inside === 0 ? 1 - binomialPmf(0, even) / 2 : binomialUpper(inside, even);
}

// Years are cut opposite the middle of the window, so that a season over the turn of the year stays whole.
function returning(window: CalendarWindow | null, { alarms, flags, history }: Omit<Seen, "share">) {
  const year = window?.year ?? { from: 0, to: 1 };
  const middle = year.from < year.to ? (year.from + year.to) / 2 : (year.from + year.to + 1) / 2;
  const yearOf = (at: number) => Math.floor(at / YEAR_MS - middle + 0.5);
  const first = history.exposure.observed[0]?.startAt ?? history.asOf;
  const years = Math.round((history.asOf - first) / YEAR_MS);
  const spells = alarms.map(({ at }, index) => (flags[index] ? yearOf(at) : null));
  return withoutBadSpell(spells, Math.max(1, years));
}

/**
 * Alarms with the sun in the receiver's view, against the share of its watch with the sun there; null if it never is.
 *
 * A receiver that may be at either end is tested along both directions, and the smaller p-value is doubled.
 */
export function sunPattern(history: DetectorHistory, spread: NullSpread, skies: Skies): Pattern | null {
  const alarms = alarmsOf(history);
  const sky = skies(history.site);
  const views = lookDirections(history.detector);
  const positions = alarms.map(({ at }) => solarPosition(at, history.site));
  const tested = views.flatMap((view): Pattern[] => {
    const grid = sunGrid([view], sky);
    const share = shareOf(grid, spread);
    if (!(share > 0) || alarms.length === 0) return [];
    const flags = positions.map((position) => isInSkyWindow(position, view));
    const { kept, returns } = withoutBadSpell(sunSpells(alarms, flags), passages(history, arcsOf(grid).length));
    const counted = { inside: kept.filter((index) => flags[index]).length, total: kept.length };
    const pValue = Math.min(1, views.length * shareP(counted, share));
    const inside = flags.filter(Boolean).length;
    return [
      {
        kind: "sun",
        cause: "low sun",
        window: null,
        pValue: returns || inside < 2 ? pValue : Math.max(pValue, NO_RETURN_P),
        inside,
        total: alarms.length,
        evenShare: share,
        counted,
      },
    ];
  });
  return tested.sort((a, b) => a.pValue - b.pValue)[0] ?? null;
}

// The sun crosses a view for some weeks at a time; a gap of 45 days between alarms in it parts two passages.
function sunSpells(alarms: readonly Alarm[], flags: readonly boolean[]): (number | null)[] {
  let spell = 0;
  let last: number | null = null;
  return alarms.map(({ at }, index) => {
    if (!flags[index]) return null;
    if (last !== null && at - last > SUN_SPELL_DAYS * DAY_MS) spell += 1;
    last = at;
    return spell;
  });
}

function passages({ exposure, asOf }: DetectorHistory, arcs: number): number {
  const first = exposure.observed[0]?.startAt ?? asOf;
  return Math.max(1, Math.round((arcs * (asOf - first)) / YEAR_MS));
}

/** Alarms around one peak of the year, wherever it lies, against own exposure and the season of the others. */
export function yearPattern(history: DetectorHistory, spread: NullSpread): Pattern {
  const alarms = alarmsOf(history);
  const angles = alarms.map(({ turn }) => 2 * Math.PI * turn);
  const peak = (exposureWeightedRayleigh({ angles, exposure: spread.year }).peakAngle ?? 0) / (2 * Math.PI);
  const window = { year: around(peak, WEEKS_13, 1), hours: { from: 0, to: 24 } };
  const circle = { angles, exposure: spread.year, seed: `${history.detector.detectorId} year` };
  return circlePattern("year", { alarms, window, circle, spread, history });
}

/** Alarms around one time of the day, against the day of the others; null where the fleet's day is not known. */
export function dayPattern(history: DetectorHistory, spread: NullSpread): Pattern | null {
  if (spread.day === null) return null;
  const alarms = alarmsOf(history);
  const angles = alarms.map(({ hour }) => (2 * Math.PI * hour) / 24);
  const peak = ((exposureWeightedRayleigh({ angles, exposure: spread.day }).peakAngle ?? 0) / (2 * Math.PI)) * 24;
  const window = { year: null, hours: around(peak, HOURS_6, 24) };
  const circle = { angles, exposure: spread.day, seed: `${history.detector.detectorId} day` };
  return circlePattern("day", { alarms, window, circle, spread, history });
}

type Circle = {
  readonly alarms: readonly Alarm[];
  readonly window: CalendarWindow;
  readonly circle: { readonly angles: readonly number[]; readonly exposure: readonly number[]; readonly seed: string };
  readonly spread: NullSpread;
  readonly history: DetectorHistory;
};

function circlePattern(kind: "year" | "day", { alarms, window, circle, spread, history }: Circle): Pattern {
  const flags = alarms.map((alarm) => isInWindow(alarm, window));
  const { kept, returns } = returning(window, { alarms, flags, history });
  const angles = kept.flatMap((index) => circle.angles[index] ?? []);
  const screen = exposureWeightedRayleigh({ angles, exposure: circle.exposure }).p;
  const random = seededChance(circle.seed);
  const pValue =
    screen > SCREEN ? screen : conditionalMonteCarlo({ angles, exposure: circle.exposure, draws: FIRST_DRAWS, random });
  return {
    kind,
    cause: null,
    window,
    pValue: returns ? pValue : Math.max(pValue, NO_RETURN_P),
    inside: flags.filter(Boolean).length,
    total: alarms.length,
    evenShare: Math.max(shareOf(windowGrid(window), spread), 1e-6),
    counted: { inside: kept.filter((index) => flags[index]).length, total: kept.length },
  };
}

/** A stretch around a peak on a circle of some length; `to` below `from` wraps. */
export function around(peak: number, width: number, whole: number): { from: number; to: number } {
  const wrap = (value: number) => ((value % whole) + whole) % whole;
  return { from: wrap(peak - width / 2), to: wrap(peak + width / 2) };
}
