import { mostVotes, voteOf } from "@/lib/analyse/votes";
import type { Span } from "@/lib/kernel/interval";
import { yearFraction } from "@/lib/kernel/time";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import type { Site } from "@/lib/records/site";
import { type CircleExposure, circleExposure } from "@/lib/statistics/circle";
import { chiSquareUpper } from "@/lib/statistics/distributions";
import { exposureWeightedRayleigh } from "@/lib/statistics/season";
import { seasonIntegral as waveIntegral } from "@/lib/statistics/season-integral";

/** Events and exposure of one detector on the year; `south` shifts its year by half. */
export type SeasonMember = {
  readonly detectorId: string;
  readonly south: boolean;
  readonly events: readonly number[];
  readonly exposure: readonly Span[];
};

/** The fleet's year: weighted sums over all events on the circle and the exposure they stand against. */
export type FleetSeason = {
  /** Detectors whose events are in the sums; one with a season of its own is not. */
  readonly members: ReadonlySet<string>;
  /** Most votes a detector has: one with more events than this counts each of them for less. */
  readonly mostVotes: number;
  /** Sum of the weights of events, and of their squares. */
  readonly n: number;
  readonly squares: number;
  readonly cos: number;
  readonly sin: number;
  /** Exposure in equal parts of the year, and its moments; null without any. */
  readonly bins: readonly number[];
  readonly circle: CircleExposure | null;
  /** Variance of calendar-month counts around the season against chance, at least 1. */
  readonly dispersion: number;
};

/** Relative intensity over the year, exp(a cos + b sin). */
export type SeasonShape = { readonly a: number; readonly b: number };

const BINS = 24;
const LEAST_EVENTS = 40;
const OWN_EVENTS = 6;
const OWN_P = 0.01;
const LARGEST_AMPLITUDE = 1.5;
const NEWTON_STEPS = 8;

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
 * A few detectors with many events of a season of their own must not pass for the season of all, against which they
 * would then look ordinary. So a detector has no more votes than twice what is usual among detectors with events, and
 * one that departs from the season so found (at least six events, p below 1 %) is left out of the final sums.
 */
export function fleetSeason(all: readonly SeasonMember[]): FleetSeason {
  const most = mostVotes(all.map(({ events }) => events.length));
  const first = sumsOf(all, most);
  const shape = seasonOfAll(first);
  const members = all.filter((member) => !hasOwnSeason(member, shape));
  return members.length === all.length ? first : sumsOf(members, most);
}

function sumsOf(members: readonly SeasonMember[], most: number): FleetSeason {
  const bins = new Array<number>(BINS).fill(0);
  const monthly: Months = new Map();
  const sums = { n: 0, squares: 0, cos: 0, sin: 0 };
  for (const { south, events, exposure } of members) {
    const weight = voteOf(events.length, most);
    for (const at of events) {
      const angle = seasonAngle(at, south);
      sums.n += weight;
      sums.squares += weight * weight;
      sums.cos += weight * Math.cos(angle);
      sums.sin += weight * Math.sin(angle);
      monthOf(monthly, at).events += weight;
    }
    for (const { startAt, endAt } of exposure) addExposure({ startAt, endAt }, { south, bins, monthly });
  }
  const circle = bins.some((amount) => amount > 0) ? circleExposure(bins) : null;
  const shape = circle === null ? null : fitSeason({ ...sums, bins, circle });
  return {
    members: new Set(members.map(({ detectorId }) => detectorId)),
    mostVotes: most,
    ...sums,
    bins,
    circle,
    dispersion: dispersionOf(monthly, { shape, ...sums }),
  };
}

function hasOwnSeason({ south, events, exposure }: SeasonMember, shape: SeasonShape | null): boolean {
  if (events.length < OWN_EVENTS) return false;
  const bins = new Array<number>(BINS).fill(0);
  for (const span of exposure) addExposure(span, { south, bins, monthly: new Map() });
  if (!bins.some((amount) => amount > 0)) return false;
  const weighted = shape === null ? bins : bins.map((amount, bin) => amount * intensityAt(shape, middleOf(bin)));
  return exposureWeightedRayleigh({ angles: events.map((at) => seasonAngle(at, south)), exposure: weighted }).p < OWN_P;
}

function middleOf(bin: number): number {
  return (2 * Math.PI * (bin + 0.5)) / BINS;
}

/**
 * The season of all the other detectors, for one detector's own events to be judged against.
 *
 * Null where it is not significant (score test of one harmonic at 5 %, divided by the dispersion of months) or where
 * fewer than 40 votes are left. The amplitudes are those of the Poisson model with one harmonic.
 */
export function seasonOfOthers(
  season: FleetSeason,
  { detectorId, angles }: { detectorId: string; angles: readonly number[] },
): SeasonShape | null {
  const { circle, bins } = season;
  const own = season.members.has(detectorId) ? angles : [];
  const weight = voteOf(own.length, season.mostVotes);
  const n = season.n - own.length * (own.length > 0 ? weight : 0);
  if (circle === null || n < LEAST_EVENTS) return null;
  const fit = fitSeason({
    n,
    squares: season.squares - own.reduce((sum) => sum + weight * weight, 0),
    cos: season.cos - own.reduce((sum, angle) => sum + weight * Math.cos(angle), 0),
    sin: season.sin - own.reduce((sum, angle) => sum + weight * Math.sin(angle), 0),
    bins,
    circle,
  });
  if (fit === null || chiSquareUpper(Math.max(0, fit.score) / season.dispersion, 2) > 0.05) return null;
  return { a: fit.a, b: fit.b };
}

type Sums = Pick<FleetSeason, "n" | "squares" | "cos" | "sin" | "bins"> & { readonly circle: CircleExposure };

// Largest likelihood of the one-harmonic Poisson model by Newton's steps, and the score statistic of an even year.
function fitSeason({ n, squares, cos, sin, bins, circle }: Sums): (SeasonShape & { readonly score: number }) | null {
  if (!(n > 0) || !(circle.varCos * circle.varSin - circle.covariance ** 2 > 1e-6)) return null;
  const even = stepTo({ cos, sin, n }, circle);
  const score = (even.a * (cos - n * circle.meanCos) + even.b * (sin - n * circle.meanSin)) * (n / squares);
  let shape: SeasonShape = bounded(even);
  for (let step = 0; step < NEWTON_STEPS; step += 1) {
    const here = shape;
    const tilted = circleExposure(bins.map((amount, bin) => amount * intensityAt(here, middleOf(bin))));
    const { a, b } = stepTo({ cos, sin, n }, tilted);
    shape = bounded({ a: here.a + a, b: here.b + b });
    if (Math.hypot(a, b) < 1e-4) break;
  }
  return { ...shape, score };
}

function stepTo({ n, cos, sin }: { n: number; cos: number; sin: number }, circle: CircleExposure): SeasonShape {
  const { meanCos, meanSin, varCos, varSin, covariance } = circle;
  const dCos = cos / n - meanCos;
  const dSin = sin / n - meanSin;
  const determinant = Math.max(1e-6, varCos * varSin - covariance ** 2);
  return {
    a: (varSin * dCos - covariance * dSin) / determinant,
    b: (varCos * dSin - covariance * dCos) / determinant,
  };
}

function bounded({ a, b }: SeasonShape): SeasonShape {
  const shrink = Math.min(1, LARGEST_AMPLITUDE / Math.hypot(a, b));
  return Number.isFinite(shrink) ? { a: a * shrink, b: b * shrink } : { a, b };
}

/** The season of the whole fleet, for a sum over many detectors; null as in {@link seasonOfOthers}. */
export function seasonOfAll(season: FleetSeason): SeasonShape | null {
  return seasonOfOthers(season, { detectorId: "", angles: [] });
}

/** Relative intensity at an angle of the year. */
export function intensityAt({ a, b }: SeasonShape, angle: number): number {
  return Math.exp(a * Math.cos(angle) + b * Math.sin(angle));
}

// Any first of January does: the year's start moves by less than a day against the mean year.
const YEAR_START_AT = Date.UTC(2025, 0, 1);

/** Integral of a season between two moments, in milliseconds of its mean over a year. */
export function seasonIntegral({ a, b }: SeasonShape, south: boolean): (startAt: number, endAt: number) => number {
  const origin = YEAR_START_AT - (south ? YEAR_MS / 2 : 0);
  return waveIntegral({ coefficients: [a, b], period: YEAR_MS, origin });
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

function dispersionOf(
  monthly: Months,
  { shape, n, squares }: { shape: SeasonShape | null; n: number; squares: number },
): number {
  const weighed = [...monthly].flatMap(([key, month]) => {
    const at = (key + 0.5) * MONTH_DAYS * DAY_MS;
    const intensity = (south: boolean) => (shape === null ? 1 : intensityAt(shape, seasonAngle(at, south)));
    const weight = month.northDays * intensity(false) + month.southDays * intensity(true);
    return weight > 0 ? [{ weight, events: month.events }] : [];
  });
  if (weighed.length < 12 || n === 0) return 1;
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0);
  const chiSquare = weighed.reduce((sum, month) => {
    const expected = (n * month.weight) / total;
    return sum + (month.events - expected) ** 2 / expected;
  }, 0);
  // A weighted count varies by its squared weights.
  return Math.max(1, (chiSquare * n) / squares / (weighed.length - 3));
}
