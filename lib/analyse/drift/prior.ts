import type { Harmonic } from "@/lib/analyse/drift/thermal";

/** Ratios of the walk of the level in a week to the noise of a week that are weighed against each other. */
export const walkRatios = [0, 0.002, 0.006, 0.02, 0.06, 0.2, 0.6, 2, 6] as const;

/** A yearly term of other detectors with the spread of theirs around it. */
export type SeasonPrior = { readonly mean: Harmonic; readonly sd: number };

/** What the fleet lends to the fit of one detector; on the detector's own hemisphere. */
export type DriftPrior = {
  /** Weight of each of `walkRatios`, sum 1. */
  readonly ratioWeights: readonly number[];
  /** Yearly term where no temperature explains it, and what is left of it beside temperature; null: none known. */
  readonly season: SeasonPrior | null;
  readonly seasonBesideHeat: SeasonPrior | null;
  /** Yearly harmonic of temperature. */
  readonly climate: Harmonic | null;
};

// Before any fleet was seen: most levels wander little between two visits, few much.
const usualWeights = [0.25, 0.1, 0.13, 0.15, 0.14, 0.1, 0.07, 0.04, 0.02];
const USUAL_COUNTS = 10;
const ROUNDS = 3;

/** The prior of a detector that stands alone. */
export const lonePrior: DriftPrior = {
  ratioWeights: usualWeights,
  season: null,
  seasonBesideHeat: null,
  climate: null,
};

/** Posterior weight of each ratio from its log-likelihood, sum 1. */
export function posteriorWeights(evidence: readonly number[], prior: readonly number[]): number[] {
  const best = Math.max(...evidence);
  const weights = evidence.map((one, index) => Math.exp(one - best) * (prior[index] ?? 0));
  const sum = weights.reduce((total, one) => total + one, 0);
  return weights.map((one) => one / sum);
}

/**
 * Weights of the ratios over a fleet by maximum likelihood, drawn to the usual ones as by ten detectors.
 *
 * Source: empirical Bayes over a fixed grid, Laird (1978), J. Am. Statist. Assoc. 73, 805-811 (from memory).
 */
export function ratioWeightsOf(evidences: readonly (readonly number[])[]): number[] {
  let weights: number[] = usualWeights;
  for (let round = 0; round < ROUNDS; round += 1) {
    const sums = usualWeights.map((one) => one * USUAL_COUNTS);
    for (const evidence of evidences) {
      for (const [index, weight] of posteriorWeights(evidence, weights).entries()) {
        sums[index] = (sums[index] ?? 0) + weight;
      }
    }
    weights = sums.map((one) => one / (evidences.length + USUAL_COUNTS));
  }
  return weights;
}

/** The same prior on the other hemisphere, where the year is turned by half. */
export function turned(prior: DriftPrior): DriftPrior {
  const turn = ({ cos, sin }: Harmonic) => ({ cos: -cos, sin: -sin });
  const season = (one: SeasonPrior | null) => one && { ...one, mean: turn(one.mean) };
  return {
    ...prior,
    season: season(prior.season),
    seasonBesideHeat: season(prior.seasonBesideHeat),
    climate: prior.climate && turn(prior.climate),
  };
}
