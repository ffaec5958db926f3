import { normalUpper } from "@/lib/statistics/distributions";

/** Forecast chances of an event and whether it came. */
export type ProbabilityForecasts = { readonly p: readonly number[]; readonly observed: readonly boolean[] };

/**
 * How good forecast chances were. Brier = reliability - resolution + uncertainty over the distinct chances; skill is
 * against the base rate; Spiegelhalter's z tests calibration; auc is the share of pairs ranked right. Null where the
 * outcomes or chances leave it undefined.
 */
export type ProbabilityScores = {
  readonly brier: number;
  readonly reliability: number;
  readonly resolution: number;
  readonly uncertainty: number;
  readonly skill: number | null;
  readonly spiegelhalterZ: number | null;
  readonly spiegelhalterP: number | null;
  readonly auc: number | null;
  readonly logLoss: number;
};

/**
 * Scores forecast chances against what came.
 *
 * @param p - each in [0, 1]; grouped by equal value for the split of the Brier score, so round before if need be
 * @param observed - as long as `p`
 * @returns null without forecasts
 * @throws RangeError for unequal lengths or a chance outside [0, 1]
 * Source: Brier (1950); Murphy (1973), J. Appl. Meteorol. 12, 595-600; Spiegelhalter (1986), Statist. Med. 5, 421-433
 * (from memory). Cost: O(n log n).
 */
export function probabilityScores({ p, observed }: ProbabilityForecasts): ProbabilityScores | null {
  if (p.length !== observed.length) throw new RangeError(`${p.length} chances for ${observed.length} outcomes`);
  const n = p.length;
  if (n === 0) return null;
  const groups = groupByChance({ p, observed });
  const came = observed.filter(Boolean).length;
  const base = came / n;
  let squares = 0;
  let logLoss = 0;
  let excess = 0;
  let variance = 0;
  for (const { chance, total, events } of groups) {
    squares += events * (1 - chance) ** 2 + (total - events) * chance ** 2;
    if (events > 0) logLoss -= events * Math.log(chance);
    if (total > events) logLoss -= (total - events) * Math.log1p(-chance);
    excess += (events - total * chance) * (1 - 2 * chance);
    variance += total * (1 - 2 * chance) ** 2 * chance * (1 - chance);
  }
  const brier = squares / n;
  const uncertainty = base * (1 - base);
  const z = variance > 0 ? excess / Math.sqrt(variance) : null;
  return {
    brier,
    reliability: groups.reduce((sum, g) => sum + g.total * (g.chance - g.events / g.total) ** 2, 0) / n,
    resolution: groups.reduce((sum, g) => sum + g.total * (g.events / g.total - base) ** 2, 0) / n,
    uncertainty,
    skill: uncertainty > 0 ? 1 - brier / uncertainty : null,
    spiegelhalterZ: z,
    spiegelhalterP: z === null ? null : Math.min(1, 2 * normalUpper(Math.abs(z))),
    auc: areaUnderCurve(groups, { came, missed: n - came }),
    logLoss: logLoss / n,
  };
}

type Group = { readonly chance: number; total: number; events: number };

function groupByChance({ p, observed }: ProbabilityForecasts): Group[] {
  const groups = new Map<number, Group>();
  for (const [i, chance] of p.entries()) {
    if (!(chance >= 0 && chance <= 1)) throw new RangeError(`chance outside [0, 1]: ${chance}`);
    const group = groups.get(chance) ?? { chance, total: 0, events: 0 };
    group.total++;
    if (observed[i]) group.events++;
    groups.set(chance, group);
  }
  return [...groups.values()].sort((a, b) => a.chance - b.chance);
}

function areaUnderCurve(groups: readonly Group[], { came, missed }: { came: number; missed: number }): number | null {
  if (came === 0 || missed === 0) return null;
  let below = 0;
  let right = 0;
  for (const { total, events } of groups) {
    right += events * (below + (total - events) / 2);
    below += total - events;
  }
  return right / (came * missed);
}
