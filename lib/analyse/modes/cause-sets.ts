import { fitRateMixture, type MixtureData, type SourcePrior } from "@/lib/statistics/rate-mixture";

/** One detector weighed over the sets of causes it may have; arrays by column, shares by event and column. */
export type WeighedSets = {
  /** Probability that each cause acts at all; 1 for the background. */
  readonly presence: Float64Array;
  /** Expected events of each cause, as they count. */
  readonly counts: Float64Array;
  /** Expected rate of each cause, 0 as far as it does not act. */
  readonly rates: Float64Array;
  readonly shares: Float64Array;
};

/** Odds of each cause acting in a detector before its events, and the gamma prior of its rate where it does. */
export type CausePriors = { readonly logOdds: Float64Array; readonly rates: readonly SourcePrior[] };

const MOST_CAUSES = 3;
const WORTH_ADDING = -3;

/**
 * Averages a detector over the sets of causes that may explain its events: the background alone, with each one cause,
 * and, starting from the best so far, with a second and a third. Column 0 is the background and in every set.
 *
 * Judging all events of a detector at once, a few events of one pattern outweigh a background that is common in the fleet,
 * and a cause without a pattern has to pay for being added.
 *
 * Source: Bayesian model averaging with greedy search, after Hoeting, Madigan, Raftery and Volinsky (1999), Statist. Sci.
 * 14, 382-417 (from memory).
 */
export function weighCauseSets(data: MixtureData, { logOdds, rates }: CausePriors): WeighedSets {
  const tried = [trySet([0], { data, logOdds, rates })];
  let best = tried[0];
  const most = data.weights.length === 0 ? 1 : MOST_CAUSES;
  for (let size = 1; size <= most && best; size += 1) {
    const start: Tried = best;
    const grown: Tried[] = [];
    for (let column = 1; column < data.columns; column += 1) {
      const canAct = (data.exposures[column] ?? 0) > 0;
      if (start.sources.includes(column) || !canAct) continue;
      grown.push(trySet([...start.sources, column], { data, logOdds, rates }));
    }
    tried.push(...grown);
    const top = grown.reduce<Tried | null>((one, other) => (one && one.score >= other.score ? one : other), null);
    if (top === null || top.score < start.score + WORTH_ADDING) break;
    best = top;
  }
  return averaged(tried, { data, rates });
}

type Tried = {
  readonly sources: readonly number[];
  readonly score: number;
  readonly counts: Float64Array;
  readonly shares: Float64Array;
};

function trySet(sources: readonly number[], { data, logOdds, rates }: CausePriors & { data: MixtureData }): Tried {
  const { evidence, counts, shares } = fitRateMixture(data, { sources, priors: rates });
  const prior = sources.reduce((sum, source) => sum + (source === 0 ? 0 : (logOdds[source] ?? 0)), 0);
  return { sources, score: evidence + prior, counts, shares };
}

function averaged(
  tried: readonly Tried[],
  { data, rates: priors }: { data: MixtureData; rates: readonly SourcePrior[] },
): WeighedSets {
  const { columns, weights, exposures } = data;
  const rows = weights.length;
  const presence = new Float64Array(columns);
  const counts = new Float64Array(columns);
  const rates = new Float64Array(columns);
  const shares = new Float64Array(rows * columns);
  const top = tried.reduce((most, { score }) => Math.max(most, score), -Infinity);
  const total = tried.reduce((sum, { score }) => sum + Math.exp(score - top), 0);
  for (const one of tried) {
    const probability = Math.exp(one.score - top) / total;
    if (probability < 1e-6) continue;
    for (const [place, column] of one.sources.entries()) {
      const prior = priors[column];
      const count = one.counts[place] ?? 0;
      const rate = prior ? (prior.shape + count) / (prior.rate + (exposures[column] ?? 0)) : 0;
      presence[column] = (presence[column] ?? 0) + probability;
      counts[column] = (counts[column] ?? 0) + probability * count;
      rates[column] = (rates[column] ?? 0) + probability * rate;
      for (let row = 0; row < rows; row += 1) {
        const at = row * columns + column;
        shares[at] = (shares[at] ?? 0) + probability * (one.shares[row * one.sources.length + place] ?? 0);
      }
    }
  }
  return { presence, counts, rates, shares };
}
