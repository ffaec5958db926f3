import type { Foretold } from "@/lib/analyse/forecast/foretold";
import { type DoubtedSpread, spreadVariance } from "@/lib/statistics/overdispersed-count";

/** Log of the factor on means of a rate, known at some rates, rising: `logRate` is the log of events a day. */
export type LevelStep = { readonly logRate: number; readonly logFactor: number };

const GROUPS = 5;
const BELIEF_EVENTS = 20;

/**
 * What came over what was foretold, by fifth of the forecasts from the lowest rate on: each drawn to 1 by 20 events'
 * worth of belief (more where events come in bursts), made rising with the rate by pooling neighbours, and rescaled so
 * that the total foretold stays. Detectors that have long been quiet are believed so, as far as the past bears it out:
 * gamma priors with one shape for all leave them too high.
 *
 * @param past - forecasts of past origins, level put right, made without knowledge of their outcome
 * @param spread - of counts around their means
 * @returns lowest rate first; empty (no correction) without a mean above 0
 * Source: isotonic recalibration (Zadrozny and Elkan 2002, KDD, 694-699), pool adjacent violators; from memory.
 */
export function fitLevelSteps(past: readonly Foretold[], spread: DoubtedSpread): LevelStep[] {
  const rows = rowsOf(past, spread);
  const groups = Array.from({ length: GROUPS }, (_, group) =>
    rows.slice(Math.floor((group * rows.length) / GROUPS), Math.floor(((group + 1) * rows.length) / GROUPS)),
  );
  const steps = rising(groups.filter((group) => group.length > 0).map(groupOf));
  const said = rows.reduce((sum, { mean }) => sum + mean, 0);
  const moved = rows.reduce((sum, { mean, logRate }) => sum + mean * stepFactor(logRate, steps), 0);
  const shift = Math.log(said / moved);
  return steps.map(({ logRate, logFactor }) => ({ logRate, logFactor: logFactor + shift }));
}

/** The factor on a mean whose rate has the log given: between steps by the line, beyond them the nearest; 1 without any. */
export function stepFactor(logRate: number, steps: readonly LevelStep[]): number {
  const above = steps.findIndex((step) => step.logRate >= logRate);
  const next = steps[above] ?? steps.at(-1);
  const before = steps[above - 1];
  if (!next) return 1;
  if (!before) return Math.exp(next.logFactor);
  const share = (logRate - before.logRate) / (next.logRate - before.logRate);
  return Math.exp(before.logFactor + share * (next.logFactor - before.logFactor));
}

type Row = { readonly count: number; readonly mean: number; readonly logRate: number; readonly variance: number };

function rowsOf(past: readonly Foretold[], spread: DoubtedSpread): Row[] {
  const rows = past.flatMap(({ counts, means, days, doubts }) =>
    counts.flatMap((count, index): Row[] => {
      const mean = means[index] ?? 0;
      const dayCount = days[index] ?? 0;
      if (!(mean > 0 && dayCount > 0)) return [];
      const variance = spreadVariance(mean, spread, doubts[index] ?? 0);
      return [{ count, mean, logRate: Math.log(mean / dayCount), variance }];
    }),
  );
  return rows.toSorted((a, b) => a.logRate - b.logRate);
}

type Group = { readonly came: number; readonly said: number; readonly logRates: readonly number[] };

// Both sides with the belief added.
function groupOf(rows: readonly Row[]): Group {
  let [came, said, variance, rates] = [0, 0, 0, 0];
  for (const row of rows) {
    came += row.count;
    said += row.mean;
    variance += row.variance;
    rates += row.mean * row.logRate;
  }
  const belief = (BELIEF_EVENTS * variance) / said;
  return { came: came + belief, said: said + belief, logRates: [rates / said] };
}

function rising(groups: readonly Group[]): LevelStep[] {
  const pools: Group[] = [];
  for (const group of groups) {
    let pool = group;
    for (let last = pools.at(-1); last && last.came * pool.said >= pool.came * last.said; last = pools.at(-1)) {
      pools.pop();
      pool = {
        came: last.came + pool.came,
        said: last.said + pool.said,
        logRates: [...last.logRates, ...pool.logRates],
      };
    }
    pools.push(pool);
  }
  return pools.flatMap(({ came, said, logRates }) =>
    logRates.map((logRate) => ({ logRate, logFactor: Math.log(came / said) })),
  );
}
