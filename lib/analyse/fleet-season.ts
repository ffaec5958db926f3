import type { Span } from "@/lib/kernel/interval";
import { yearFraction } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import type { Site } from "@/lib/records/site";
import { type CircleExposure, circleExposure } from "@/lib/statistics/circle";
import { chiSquareUpper } from "@/lib/statistics/distributions";
import { exposureWeightedRayleigh } from "@/lib/statistics/season";

/** Events and exposure of one detector on the year; `south` shifts its year by half. */
export type SeasonMember = {
  readonly detectorId: string;
  readonly south: boolean;
  readonly events: readonly number[];
  readonly exposure: readonly Span[];
};

/** The fleet's year: sums over all events on the circle and the exposure they stand against. */
export type FleetSeason = {
  /** Detectors whose events are in the sums; one with a strong season of its own is not. */
  readonly members: ReadonlySet<string>;
  readonly n: number;
  readonly cos: number;
  readonly sin: number;
  readonly circle: CircleExposure | null;
  /** Variance of calendar-month counts around the season against chance, at least 1. */
  readonly dispersion: number;
};

/** Relative intensity over the year, exp(a cos + b sin): 1 on average but for the second order. */
export type SeasonShape = { readonly a: number; readonly b: number };

const BINS = 24;
const LEAST_EVENTS = 40;
const OWN_EVENTS = 6;
const OWN_P = 0.01;
const LARGEST_AMPLITUDE = 1.2;

/** Whether a site lies on the southern half of the earth, where the seasons stand half a year apart. */
export function isSouth({ latitude }: Site): boolean {
  return latitude < 0;
}

/** Angle of a moment on the year of its hemisphere, radians from midwinter's January (north). */
export function seasonAngle(at: number, south: boolean): number {
  return 2 * Math.PI * (yearFraction(at, "UTC") + (south ? 0.5 : 0));
}

/**
 * The fleet's season of one kind of event; with no exposure the circle is null and no season is ever found.
 *
 * A detector with a strong season of its own (at least six events, p below 1 %) is left out: a few of them must not pass
 * for the season of all, against which they would then look ordinary.
 */
export function fleetSeason(all: readonly SeasonMember[]): FleetSeason {
  const members = all.filter((member) => !hasOwnSeason(member));
  const bins = new Array<number>(BINS).fill(0);
  const monthly: Months = new Map();
  const angles = { n: 0, cos: 0, sin: 0 };
  for (const { south, events, exposure } of members) {
    for (const at of events) {
      const angle = seasonAngle(at, south);
      angles.n += 1;
      angles.cos += Math.cos(angle);
      angles.sin += Math.sin(angle);
      monthOf(monthly, at).events += 1;
    }
    for (const { startAt, endAt } of exposure) addExposure({ startAt, endAt }, { south, bins, monthly });
  }
  const total = bins.reduce((sum, amount) => sum + amount, 0);
  const circle = total > 0 ? circleExposure(bins) : null;
  const ids = new Set(members.map(({ detectorId }) => detectorId));
  const step = circle === null ? null : newtonStep({ ...angles, circle });
  return { members: ids, ...angles, circle, dispersion: dispersionOf(monthly, { shape: step, events: angles.n }) };
}

function hasOwnSeason({ south, events, exposure }: SeasonMember): boolean {
  if (events.length < OWN_EVENTS) return false;
  const bins = new Array<number>(BINS).fill(0);
  for (const span of exposure) addExposure(span, { south, bins, monthly: new Map() });
  if (!bins.some((amount) => amount > 0)) return false;
  return exposureWeightedRayleigh({ angles: events.map((at) => seasonAngle(at, south)), exposure: bins }).p < OWN_P;
}

/**
 * The season of all the other detectors, for one detector's own events to be judged against.
 *
 * Null where it is not significant (score test of one harmonic at 5 %, divided by the dispersion of months) or where
 * fewer than 40 events are left. The amplitudes are the first Newton step of the Poisson model, exact for a mild season.
 */
export function seasonOfOthers(
  season: FleetSeason,
  { detectorId, angles }: { detectorId: string; angles: readonly number[] },
): SeasonShape | null {
  const { circle } = season;
  const own = season.members.has(detectorId) ? angles : [];
  const n = season.n - own.length;
  if (circle === null || n < LEAST_EVENTS) return null;
  const cos = season.cos - own.reduce((sum, angle) => sum + Math.cos(angle), 0);
  const sin = season.sin - own.reduce((sum, angle) => sum + Math.sin(angle), 0);
  const step = newtonStep({ n, cos, sin, circle });
  if (step === null || chiSquareUpper(Math.max(0, step.score) / season.dispersion, 2) > 0.05) return null;
  return { a: step.a, b: step.b };
}

type Sums = { readonly n: number; readonly cos: number; readonly sin: number; readonly circle: CircleExposure };

// First Newton step of the one-harmonic Poisson model from an even year, and its score statistic.
function newtonStep({ n, cos, sin, circle }: Sums): (SeasonShape & { readonly score: number }) | null {
  const dCos = cos - n * circle.meanCos;
  const dSin = sin - n * circle.meanSin;
  const determinant = circle.varCos * circle.varSin - circle.covariance ** 2;
  if (n === 0 || !(determinant > 1e-6)) return null;
  const a = (circle.varSin * dCos - circle.covariance * dSin) / (n * determinant);
  const b = (circle.varCos * dSin - circle.covariance * dCos) / (n * determinant);
  const amplitude = Math.hypot(a, b);
  const shrink = Math.min(1, LARGEST_AMPLITUDE / amplitude);
  return { a: a * shrink, b: b * shrink, score: a * dCos + b * dSin };
}

/** The season of the whole fleet, for a sum over many detectors; null as in {@link seasonOfOthers}. */
export function seasonOfAll(season: FleetSeason): SeasonShape | null {
  return seasonOfOthers(season, { detectorId: "", angles: [] });
}

/** Relative intensity at an angle of the year. */
export function intensityAt({ a, b }: SeasonShape, angle: number): number {
  return Math.exp(a * Math.cos(angle) + b * Math.sin(angle));
}

/** Integral of a relative intensity between two moments, in milliseconds of even intensity; a day is one step. */
export function seasonIntegral(shape: SeasonShape, south: boolean): (startAt: number, endAt: number) => number {
  const byDay = new Map<number, number>();
  const ofDay = (day: number) => {
    const known = byDay.get(day);
    if (known !== undefined) return known;
    const value = intensityAt(shape, seasonAngle((day + 0.5) * DAY_MS, south));
    byDay.set(day, value);
    return value;
  };
  return (startAt, endAt) => {
    let sum = 0;
    for (let day = Math.floor(startAt / DAY_MS); day * DAY_MS < endAt; day += 1) {
      sum += ofDay(day) * (Math.min(endAt, (day + 1) * DAY_MS) - Math.max(startAt, day * DAY_MS));
    }
    return sum;
  };
}

type Month = { events: number; northDays: number; southDays: number };
type Months = Map<number, Month>;
const MONTH_DAYS = 30.4375;

function monthOf(monthly: Months, at: number): Month {
  const key = Math.floor(at / (MONTH_DAYS * DAY_MS));
  const known = monthly.get(key);
  if (known) return known;
  const created = { events: 0, northDays: 0, southDays: 0 };
  monthly.set(key, created);
  return created;
}

function addExposure(
  { startAt, endAt }: Span,
  { south, bins, monthly }: { south: boolean; bins: number[]; monthly: Months },
): void {
  const step = 5 * DAY_MS;
  for (let at = startAt; at < endAt; at += step) {
    const length = Math.min(step, endAt - at);
    const turn = (yearFraction(at + length / 2, "UTC") + (south ? 0.5 : 0)) % 1;
    const bin = Math.min(BINS - 1, Math.floor(turn * BINS));
    bins[bin] = (bins[bin] ?? 0) + length;
    const month = monthOf(monthly, at + length / 2);
    if (south) month.southDays += length / DAY_MS;
    else month.northDays += length / DAY_MS;
  }
}

function dispersionOf(monthly: Months, { shape, events }: { shape: SeasonShape | null; events: number }): number {
  const weighed = [...monthly].flatMap(([key, month]) => {
    const at = (key + 0.5) * MONTH_DAYS * DAY_MS;
    const intensity = (south: boolean) => (shape === null ? 1 : intensityAt(shape, seasonAngle(at, south)));
    const weight = month.northDays * intensity(false) + month.southDays * intensity(true);
    return weight > 0 ? [{ weight, events: month.events }] : [];
  });
  if (weighed.length < 12 || events === 0) return 1;
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0);
  const chiSquare = weighed.reduce((sum, month) => {
    const expected = (events * month.weight) / total;
    return sum + (month.events - expected) ** 2 / expected;
  }, 0);
  return Math.max(1, chiSquare / (weighed.length - 3));
}
