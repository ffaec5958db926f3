import { awayOf, DEGREES, type Prepared, seriesFor, type Terms } from "@/lib/analyse/drift/design";
import type { HalfDay } from "@/lib/analyse/drift/half-day";
import { type DriftPrior, posteriorWeights, type SeasonPrior, walkRatios } from "@/lib/analyse/drift/prior";
import { chooseTerms, seasonPriorOf } from "@/lib/analyse/drift/terms";
import {
  climateOf,
  flat,
  type Harmonic,
  harmonicAt,
  type ThermalTerm,
  yearAngle,
  yearMeanOf,
} from "@/lib/analyse/drift/thermal";
import { instantOf, lagsDays, type Quantity } from "@/lib/analyse/drift/weeks";
import {
  fitLocalLevel,
  innovationsOf,
  type LocalLevelFit,
  type LocalLevelSeries,
  localLevelLikelihood,
} from "@/lib/statistics/local-level";

/** A line with thermal term and wandering level through the segments of one quantity. Unit: dB or %, by day. */
export type DriftFit = {
  readonly quantity: Quantity;
  /** Value at which the detector gives a fault or a fire signal. */
  readonly limit: number;
  readonly prepared: Prepared;
  readonly terms: Terms;
  readonly term: ThermalTerm;
  /** Rise of the value per day; above 0 is worse. */
  readonly slope: number;
  readonly slopeSe: number;
  readonly df: number;
  /** Value at `levelDay` as it would be over a usual year, without the slope. */
  readonly level: number;
  readonly levelDay: number;
  readonly levelAt: number;
  /** Spread of one week's value around its level, and variance that the level gains by wandering a day. */
  readonly sd: number;
  readonly walkPerDay: number;
  readonly weeks: number;
  /** Restricted log-likelihood of each of `walkRatios`. */
  readonly evidence: readonly number[];
  readonly filtered: LocalLevelFit;
};

/** Fewest weeks with readings for a drift to be judged. */
export const LEAST_WEEKS = 13;
const LEAST_SEGMENT = 4;
const YEAR_DAYS = 365.25;
// The resolution of whole percents and of whole compensation percents, each over the square root of 12.
const LEAST_SD: Readonly<Record<Quantity, number>> = { signal: 0.0125, compensation: 0.29 };
const OUTLIER_SIGMAS = 3;

/** Weeks in segments long enough to say something of a slope. */
export function usableWeeks({ weeks, starts }: Prepared): number {
  const lengths = starts.map((from, index) => (starts[index + 1] ?? weeks.value.length) - from);
  return lengths.filter((length) => length >= LEAST_SEGMENT).reduce((sum, length) => sum + length, 0);
}

/** How likely each walk of the level is under the terms that were chosen, before the fleet weighs in. */
export type Explored = {
  readonly prepared: Prepared;
  readonly terms: Terms;
  /** The fleet's yearly term that was taken off, with its spread; null where the record has its own. */
  readonly season: SeasonPrior | null;
  readonly series: LocalLevelSeries;
  /** Restricted log-likelihood of each of `walkRatios`. */
  readonly evidence: readonly number[];
};

/**
 * Chooses what explains one quantity and weighs how much its level wanders.
 *
 * @returns null when there is too little: fewer than 13 weeks in segments of 4, or season and drift not separable
 */
export function explore(prepared: Prepared, prior: DriftPrior): Explored | null {
  if (usableWeeks(prepared) < LEAST_WEEKS) return null;
  const terms = chooseTerms(prepared, prior);
  if (terms === null) return null;
  const season = seasonPriorOf(prepared, { terms, prior });
  const whole = seriesFor(prepared, { terms, seasonSd: season?.sd ?? Infinity });
  const series = withoutSeason(whole, prepared, season?.mean ?? flat);
  const leastVariance = LEAST_SD[prepared.quantity] ** 2;
  const evidence = walkRatios.map((ratio) => localLevelLikelihood(series, { ratio, leastVariance }));
  return evidence.some(Number.isFinite) ? { prepared, terms, season, series, evidence } : null;
}

/**
 * Fits the drift of one quantity: one slope and one thermal term for all segments, a level of its own for each, which
 * wanders as much as the detector's and the fleet's weeks show.
 *
 * @returns null where the weeks do not tell the terms apart
 */
export function settle(
  { prepared, terms, season, series, evidence }: Explored,
  { prior, halfDay }: { prior: DriftPrior; halfDay: HalfDay },
): DriftFit | null {
  const weights = posteriorWeights(evidence, prior.ratioWeights);
  const ratio = weights.reduce((sum, weight, index) => sum + weight * (walkRatios[index] ?? 0), 0);
  const filtered = robustFit(series, { ratio, leastVariance: LEAST_SD[prepared.quantity] ** 2 });
  if (filtered === null) return null;
  const term = termOf(prepared, { terms, filtered, season: season?.mean ?? flat, climate: prior.climate, halfDay });
  const levelDay = prepared.weeks.day.at(-1) ?? 0;
  return {
    quantity: prepared.quantity,
    limit: prepared.limit,
    prepared,
    terms,
    term,
    slope: (filtered.coefficients[0] ?? 0) / YEAR_DAYS,
    slopeSe: Math.sqrt(filtered.covariance[0]?.[0] ?? 0) / YEAR_DAYS,
    df: filtered.df,
    level: filtered.level + term.yearMean,
    levelDay,
    levelAt: instantOf(levelDay),
    sd: Math.sqrt(filtered.noiseVariance),
    walkPerDay: filtered.walkVariance / 7,
    weeks: usableWeeks(prepared),
    evidence,
    filtered,
  };
}

/** The fitted columns at a moment to come, in the order of the coefficients. */
export function columnsAt({ terms, levelDay }: DriftFit, { day, awayC }: { day: number; awayC: number }): number[] {
  const columns = [(day - levelDay) / YEAR_DAYS];
  if (terms.temperature) columns.push(awayC / DEGREES);
  if (terms.bow) columns.push((awayC / DEGREES) ** 2);
  if (terms.season) columns.push(Math.cos(yearAngle(day)), Math.sin(yearAngle(day)));
  return columns;
}

// A week far off its prediction counts for less, by as much as it is far off.
function robustFit(series: LocalLevelSeries, options: { ratio: number; leastVariance: number }): LocalLevelFit | null {
  const first = fitLocalLevel(series, options);
  if (first === null) return null;
  const noise = series.noise.slice();
  let changed = false;
  for (const [row, innovation] of innovationsOf(series, first).entries()) {
    const away = Math.abs(innovation) / OUTLIER_SIGMAS;
    if (!(away > 1)) continue;
    noise[row] = (noise[row] ?? 1) * away * away;
    changed = true;
  }
  return changed ? fitLocalLevel({ ...series, noise }, options) : first;
}

function withoutSeason(series: LocalLevelSeries, { weeks }: Prepared, season: Harmonic): LocalLevelSeries {
  if (season.cos === 0 && season.sin === 0) return series;
  return { ...series, y: series.y.map((value, row) => value - harmonicAt(season, weeks.day[row] ?? 0)) };
}

function termOf(
  prepared: Prepared,
  {
    terms,
    filtered,
    season,
    climate,
    halfDay,
  }: {
    terms: Terms;
    filtered: LocalLevelFit;
    season: Harmonic;
    climate: Harmonic | null;
    halfDay: HalfDay;
  },
): ThermalTerm {
  const rest = filtered.coefficients.slice(1);
  const perDegree = terms.temperature ? (rest.shift() ?? 0) / DEGREES : 0;
  const perSquare = terms.bow ? (rest.shift() ?? 0) / DEGREES ** 2 : 0;
  const [cos = 0, sin = 0] = terms.season ? rest : [];
  const { weeks, setC } = prepared;
  const temperatureC = weeks.temperatures[terms.lag] ?? new Float64Array(0);
  const fleet = season.cos !== 0 || season.sin !== 0;
  const open: ThermalTerm = {
    perDegree,
    perSquare,
    setC: setC.at(-1) ?? 0,
    climate: terms.temperature ? climateOf({ day: weeks.day, temperatureC }, climate) : null,
    season: { cos: season.cos + cos, sin: season.sin + sin },
    yearMean: 0,
    halfDayC: terms.temperature ? halfDay.degreesC : 0,
    halfDayMost: halfDay.most,
    lagDays: lagsDays[terms.lag] ?? 0,
    source: terms.temperature ? "temperature" : terms.season && !fleet ? "own year" : fleet ? "fleet" : "none",
  };
  return { ...open, yearMean: yearMeanOf(open, weeks.day.at(-1) ?? 0) };
}

/** Degrees away from the alignment in force, by row of the fitted weeks. */
export function awayOfFit({ prepared, terms }: DriftFit): Float64Array {
  return awayOf(prepared, terms.lag);
}
