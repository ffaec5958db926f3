import type { Foretold } from "@/lib/analyse/forecast/foretold";
import { fitLevelSteps, type LevelStep, stepFactor } from "@/lib/analyse/forecast/level-steps";
import { type DoubtedSpread, spreadVariance } from "@/lib/statistics/overdispersed-count";
import { ridgeCounts } from "@/lib/statistics/ridge-counts";

/**
 * How means foretold are put right: with z = ln(rate / centre), rate and centre in events a day, mean x ratio x
 * exp((slope - 1) z + below min(0, z)), and that by the steps of its rate.
 */
export type Recalibration = {
  readonly ratio: number;
  readonly slope: number;
  /** What the slope is more below the centre. */
  readonly below: number;
  readonly logCentre: number;
  readonly steps: readonly LevelStep[];
  /** Standard deviation of the log of the level all means share, over a horizon to come. */
  readonly levelDoubt: number;
};

const BELIEF_EVENTS = 20;
/** Events added to both sides of an origin's ratio. */
const HALF_BELIEF = 5;
/** Usual variance of the log ratio between origins, and how far the level of a model may be off: choices. */
const USUAL_BETWEEN = 0.02;
const LEVEL_VARIANCE = 0.01;
const SPREAD = { linear: 1.5, quadratic: 0.5 };

/** Leaves means as they are. */
export const asForetold: Recalibration = {
  ratio: 1,
  slope: 1,
  below: 0,
  logCentre: 0,
  steps: [],
  levelDoubt: Math.sqrt(LEVEL_VARIANCE + USUAL_BETWEEN),
};

/**
 * What earlier forecasts say of the level and the slope of means: a slope below 1 where high ones came too high and low
 * ones too low (one more for those below the usual), drawn towards 1 by 20 events' worth of belief; and the ratio of
 * what came to what was foretold over the given origins, drawn towards 1 as far as the origins contradict each other. A
 * fleet that grows worse as a whole is followed so; a single bad season is not.
 *
 * @param spread - of counts around their means, for how much chance there is in a ratio
 * @param sloped - false leaves the slope, which was put right before, and levels the forecasts by fifths instead
 */
export function fitRecalibration(
  past: readonly Foretold[],
  { spread, sloped = true }: { spread: DoubtedSpread; sloped?: boolean },
): Recalibration {
  if (!past.some(({ means }) => means.some((mean) => mean > 0))) return asForetold;
  const steepness = sloped ? slopeOf(past) : asForetold;
  const level = { ...steepness, ...levelOf(past, { steepness, spread }) };
  if (sloped) return level;
  const levelled = past.map((one) => recalibrated(one, level));
  return { ...level, steps: fitLevelSteps(levelled, spread) };
}

function slopeOf(past: readonly Foretold[]): Recalibration {
  const rows = past.flatMap(({ counts, means, days }) =>
    counts.map((count, index) => ({ count, mean: means[index] ?? 0, days: days[index] ?? 0 })),
  );
  const used = rows.filter(({ mean, days }) => mean > 0 && days > 0);
  if (used.length === 0) return asForetold;
  let [weight, sum] = [0, 0];
  for (const { mean, days } of used) {
    weight += mean;
    sum += mean * Math.log(mean / days);
  }
  const logCentre = sum / weight;
  const beta = ridgeCounts(
    {
      x: Float64Array.from(
        used.flatMap(({ mean, days }) => {
          const z = Math.log(mean / days) - logCentre;
          return [z, Math.min(0, z)];
        }),
      ),
      columns: 2,
      counts: Float64Array.from(used, ({ count }) => count),
      offset: Float64Array.from(used, ({ mean }) => Math.log(mean)),
    },
    { penalty: BELIEF_EVENTS, interceptPenalty: BELIEF_EVENTS, spread: SPREAD },
  );
  const slope = bounded(1 + (beta[1] ?? 0));
  return { ...asForetold, slope, below: bounded(slope + (beta[2] ?? 0)) - slope, logCentre };
}

// The order of detectors must stand, whatever the trials say.
function bounded(slope: number): number {
  return Math.max(0.3, Math.min(1.7, slope));
}

// Ratio of what came to what was said: the mean of the origins' log ratios, drawn towards 0 by how far they disagree.
function levelOf(
  past: readonly Foretold[],
  { steepness, spread }: { steepness: Recalibration; spread: DoubtedSpread },
): Pick<Recalibration, "ratio" | "levelDoubt"> {
  const logs = past.map((one) => {
    const came = one.counts.reduce((sum, count) => sum + count, 0);
    const said = recalibrated(one, steepness);
    const total = said.means.reduce((sum, mean) => sum + mean, 0);
    const variance = said.means.reduce(
      (sum, mean, index) => sum + spreadVariance(mean, spread, one.doubts[index] ?? 0),
      HALF_BELIEF,
    );
    return {
      log: Math.log((came + HALF_BELIEF) / (total + HALF_BELIEF)),
      chance: variance / (total + HALF_BELIEF) ** 2,
    };
  });
  const mean = logs.reduce((sum, { log }) => sum + log, 0) / logs.length;
  const chance = logs.reduce((sum, one) => sum + one.chance, 0) / logs.length;
  const apart = logs.reduce((sum, { log }) => sum + (log - mean) ** 2, 0) / Math.max(1, logs.length - 1);
  // Two or three origins tell little of how far origins differ.
  const between = (apart * (logs.length - 1) + (chance + USUAL_BETWEEN) * 2) / (logs.length + 1);
  const variance = Math.max(chance, between) / logs.length;
  const weight = LEVEL_VARIANCE / (LEVEL_VARIANCE + variance);
  // What is left in doubt of the level itself, and how far one horizon goes its own way beyond chance.
  const doubt = weight * variance + Math.max(0, between - chance);
  return { ratio: Math.exp(mean * weight), levelDoubt: Math.sqrt(doubt) };
}

/** The factor on a mean foretold for so many days. */
export function recalibrationFactor(
  mean: number,
  days: number,
  { ratio, slope, below, logCentre, steps }: Recalibration,
): number {
  if (!(mean > 0 && days > 0)) return ratio;
  const z = Math.log(mean / days) - logCentre;
  const factor = ratio * Math.exp((slope - 1) * z + below * Math.min(0, z));
  return factor * stepFactor(Math.log((mean * factor) / days), steps);
}

/** A forecast with its means put right. */
export function recalibrated(one: Foretold, recalibration: Recalibration): Foretold {
  const means = one.means.map((mean, index) => mean * recalibrationFactor(mean, one.days[index] ?? 0, recalibration));
  return { ...one, means };
}
