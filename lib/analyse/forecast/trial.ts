import type { Foretold } from "@/lib/analyse/forecast/foretold";
import { fitRecalibration, type Recalibration, recalibrated } from "@/lib/analyse/forecast/recalibration";
import {
  type CountMoments,
  countLogProbability,
  type DoubtedSpread,
  fitSpread,
  levelReached,
  spreadVariance,
} from "@/lib/statistics/overdispersed-count";

/** Levels of the shortest intervals that hold 90 %: of means from `from` on, and of those below it. */
export type IntervalLevels = { readonly below: number; readonly above: number; readonly from: number };

/** How a part turns means into a distribution: level and slope put right, and spread. */
export type Shape = { readonly recalibration: Recalibration; readonly spread: DoubtedSpread };

/** The same with levels of its intervals. */
export type Finish = Shape & { readonly levels: IntervalLevels };

/** One forecast tried: made with nothing but what lay before its origin, put right by other origins. */
export type TriedRow = {
  readonly detector: number;
  readonly origin: number;
  readonly count: number;
  readonly mean: number;
  /** -ln of the probability given to what came. */
  readonly logScore: number;
};

/** A part tried at the scored origins, and the share of rows inside its intervals; null where none were made. */
export type Trial = { readonly rows: readonly TriedRow[]; readonly coverage: number | null };

/** Spread where nothing was foretold yet: a rate known to its doubt, episodes a little clustered. */
export const usualSpread: DoubtedSpread = { linear: 1.25, common: 0.1, own: 1 };

const COVERAGE = 0.9;
const LOWEST_LEVEL = 0.8;
const HIGHEST_LEVEL = 0.97;
const LEAST_ROWS = 200;
const HIGH_FROM = 0.8;
/** Past origins a forecast is put right by: older ones were made of less, and cost time. */
export const MOST_PAST = 4;

/**
 * Tries one part at each scored origin, its level, slope and spread put right by its forecasts of the others.
 *
 * @param forecasts - of the part, none made with knowledge of its own outcome
 */
export function tryPart(
  forecasts: readonly Foretold[],
  { scored, start }: { scored: readonly number[]; start: DoubtedSpread },
): Trial {
  let spread = start;
  const rows = forecasts.flatMap((one) => {
    if (!scored.includes(one.origin)) return [];
    const others = forecasts.filter(({ origin }) => origin !== one.origin);
    // The last spread is close to the next: a shorter search.
    const { shape } = shapeOf(others, { start: spread });
    spread = shape.spread;
    return triedRows(one, shape);
  });
  return { rows, coverage: null };
}

/**
 * Finish learned from the last past forecasts, oldest first; `start` and no recalibration where there are none.
 *
 * @param sloped - whether the slope is to be put right too; false for forecasts that have been
 */
export function finishOf(all: readonly Foretold[], options: { start: DoubtedSpread; sloped?: boolean }): Finish {
  const { shape, right } = shapeOf(all, options);
  const means = right.flatMap((one) => one.means);
  const reached = right.flatMap((one) =>
    one.counts.map((count, row) => levelReached(count, momentsOf(one, row, shape))),
  );
  return { ...shape, levels: levelsFor(means, reached) };
}

function shapeOf(
  all: readonly Foretold[],
  { start, sloped = true }: { start: DoubtedSpread; sloped?: boolean },
): { shape: Shape; right: Foretold[] } {
  const past = all.slice(-MOST_PAST);
  const recalibration = fitRecalibration(past, { spread: start, sloped });
  const right = past.map((one) => recalibrated(one, recalibration));
  const counts = right.flatMap((one) => one.counts);
  const means = right.flatMap((one) => one.means);
  const doubts = right.flatMap((one) => one.doubts);
  return { shape: { recalibration, spread: fitSpread({ counts, means, doubts }, start) }, right };
}

function momentsOf({ means, doubts }: Foretold, row: number, { spread }: Shape): CountMoments {
  const mean = means[row] ?? 0;
  return { mean, variance: spreadVariance(mean, spread, doubts[row] ?? 0) };
}

/** Level of the interval of a mean. */
export function levelAt(mean: number, { below, above, from }: IntervalLevels): number {
  return mean >= from ? above : below;
}

// The highest fifth apart: what covers 90 % of a fleet may cover far less of those that matter most.
function levelsFor(means: readonly number[], reached: readonly number[]): IntervalLevels {
  const sorted = means.toSorted((a, b) => a - b);
  const from = sorted[Math.floor(HIGH_FROM * sorted.length)] ?? Infinity;
  const ofSide = (high: boolean) => levelFor(reached.filter((_, index) => (means[index] ?? 0) >= from === high));
  return { below: ofSide(false), above: ofSide(true), from };
}

// Whole numbers cover more than they claim, so the level that covers 90 % in fact lies below 0.9 as a rule.
function levelFor(reached: readonly number[]): number {
  if (reached.length < LEAST_ROWS) return COVERAGE;
  const sorted = reached.toSorted((a, b) => a - b);
  const at = sorted[Math.min(sorted.length - 1, Math.floor(COVERAGE * sorted.length))] ?? COVERAGE;
  return Math.max(LOWEST_LEVEL, Math.min(HIGHEST_LEVEL, at + 1e-9));
}

/** What was foretold at one origin beside what came, under a shape. */
export function triedRows(one: Foretold, shape: Shape): TriedRow[] {
  const right = recalibrated(one, shape.recalibration);
  return right.counts.map((count, row) => ({
    detector: right.detectors[row] ?? 0,
    origin: one.origin,
    count,
    mean: right.means[row] ?? 0,
    logScore: -countLogProbability(count, momentsOf(right, row, shape)),
  }));
}

/** How many of an origin's rows came inside their intervals. */
export function coveredRows(one: Foretold, finish: Finish): number {
  const right = recalibrated(one, finish.recalibration);
  return right.counts.filter((count, row) => {
    const moments = momentsOf(right, row, finish);
    return levelReached(count, moments) < levelAt(moments.mean, finish.levels);
  }).length;
}
