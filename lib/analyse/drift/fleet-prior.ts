import type { DriftFit } from "@/lib/analyse/drift/fit";
import { type DriftPrior, ratioWeightsOf, type SeasonPrior } from "@/lib/analyse/drift/prior";
import type { Harmonic } from "@/lib/analyse/drift/thermal";
import { medianOf } from "@/lib/statistics/descriptive";

/** What one quantity says without the fleet; a fit where the record is long, and whether its site lies south. */
export type LoneFit = {
  readonly evidence: readonly number[];
  readonly fit: DriftFit | null;
  readonly south: boolean;
};

/** Weeks from which a record is long enough to lend its year to others. */
export const LONG_WEEKS = 78;
const LEAST_TERMS = 5;
const LEAST_SD = 0.02;

/**
 * What a fleet's own fits of one quantity say of how much levels wander and what the year does, on the northern year;
 * a yearly term or climate is null where fewer than five long records show one.
 */
export function fleetPrior(alone: readonly LoneFit[]): DriftPrior {
  const long = alone.flatMap(({ fit, south }) => (fit && fit.weeks >= LONG_WEEKS ? [{ fit, south }] : []));
  const onNorth = (harmonic: Harmonic, south: boolean) =>
    south ? { cos: -harmonic.cos, sin: -harmonic.sin } : harmonic;
  const climates = long.flatMap(({ fit, south }) =>
    fit.term.climate ? [onNorth(fit.term.climate.harmonic, south)] : [],
  );
  const whole = long.map(({ fit: { term }, south }) => {
    const { perDegree, climate, season } = term;
    const warmth = climate?.harmonic ?? { cos: 0, sin: 0 };
    return onNorth({ cos: perDegree * warmth.cos + season.cos, sin: perDegree * warmth.sin + season.sin }, south);
  });
  const beside = long
    .filter(({ fit }) => fit.terms.temperature && fit.terms.season)
    .map(({ fit, south }) => onNorth(fit.term.season, south));
  return {
    ratioWeights: ratioWeightsOf(alone.map(({ evidence }) => evidence)),
    season: seasonPrior(whole),
    seasonBesideHeat: seasonPrior(beside),
    climate: seasonPrior(climates)?.mean ?? null,
  };
}

// The spread is not a robust one: the few that move much with the year are what it must leave room for.
function seasonPrior(terms: readonly Harmonic[]): SeasonPrior | null {
  if (terms.length < LEAST_TERMS) return null;
  const mean = { cos: medianOf(terms.map(({ cos }) => cos)) ?? 0, sin: medianOf(terms.map(({ sin }) => sin)) ?? 0 };
  const squares = terms.reduce((sum, { cos, sin }) => sum + (cos - mean.cos) ** 2 + (sin - mean.sin) ** 2, 0);
  return { mean, sd: Math.max(LEAST_SD, Math.sqrt(squares / (2 * terms.length))) };
}
