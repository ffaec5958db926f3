import { betaQuantile } from "@/lib/statistics/distributions";
import { betaPoissonMoments } from "@/lib/statistics/prevented-share";
import { findRoot } from "@/lib/statistics/root";

/** What past visits for one task say of one cause: events after them, and events expected without them. */
export type CellCounts = {
  /** Stated share prevented, 0 to 0.95. */
  readonly stated: number;
  readonly observed: number;
  readonly expected: number;
  /** Variance of the observed count over its mean, at least 1; doubt about `expected` included. */
  readonly dispersion: number;
  /** Whether the cell may speak for the task's other cells. */
  readonly speaks: boolean;
};

/** A share prevented: mean, standard deviation and a 90 % interval. */
export type SharePosterior = {
  readonly mean: number;
  readonly sd: number;
  readonly low: number;
  readonly high: number;
};

/** Weight of the stated shares in expected events, and their common spread as a share of each. */
export type SharePrior = { readonly weight: number; readonly spread: number };

const LARGEST = 0.95;
const NODES = 41;
const REACH = 3.5;

/**
 * Shares one task prevents of each cause, after the fleet's records.
 *
 * The stated shares s are right up to a factor q common to the task's causes, log-normal with mean 1 and the prior's
 * spread; about q · s (at most 0.95) each cause's share is beta with the prior's weight; the count after visits is
 * Poisson around expected · (1 - share), its log-likelihood divided by the dispersion. So a task that does less than
 * stated where there are records is believed to do less elsewhere too. Without any record every mean is as stated.
 */
export function sharePosteriors(cells: readonly CellCounts[], prior: SharePrior): SharePosterior[] {
  const nodes = factorNodes(prior.spread);
  const centred = cells.map(({ stated }) => centredMeans(stated, nodes));
  const moments = cells.map(({ observed, expected, dispersion }, index) =>
    (centred[index] ?? []).map((mean) =>
      betaPoissonMoments({
        a: mean * prior.weight,
        b: (1 - mean) * prior.weight,
        observed: observed / dispersion,
        expected: expected / dispersion,
      }),
    ),
  );
  const logWeights = nodes.map(({ weight }, node) =>
    moments.reduce(
      (sum, byNode, index) => sum + (cells[index]?.speaks ? (byNode[node]?.logLikelihood ?? 0) : 0),
      Math.log(weight),
    ),
  );
  return moments.map((byNode, index) => {
    const own = cells[index]?.speaks ? 0 : 1;
    return mixed(
      byNode,
      logWeights.map((logWeight, node) => logWeight + own * (byNode[node]?.logLikelihood ?? 0)),
    );
  });
}

type FactorNode = { readonly factor: number; readonly weight: number };

function factorNodes(spread: number): FactorNode[] {
  if (!(spread > 0)) return [{ factor: 1, weight: 1 }];
  const sigma = Math.sqrt(Math.log1p(spread ** 2));
  const raw = Array.from({ length: NODES }, (_, index) => {
    const z = -REACH + (2 * REACH * index) / (NODES - 1);
    return { factor: Math.exp(sigma * z - sigma ** 2 / 2), weight: Math.exp(-(z ** 2) / 2) };
  });
  const total = raw.reduce((sum, { weight }) => sum + weight, 0);
  return raw.map(({ factor, weight }) => ({ factor, weight: weight / total }));
}

// A factor cannot lift a share beyond 0.95; the rest is lifted a little, so that without records the mean is as stated.
function centredMeans(stated: number, nodes: readonly FactorNode[]): number[] {
  const goal = Math.min(LARGEST, Math.max(1e-6, stated));
  const meansAt = (lift: number) => nodes.map(({ factor }) => Math.min(LARGEST, lift * factor * goal));
  const gap = (logLift: number) =>
    meansAt(Math.exp(logLift)).reduce((sum, mean, node) => sum + mean * (nodes[node]?.weight ?? 0), 0) - goal;
  if (goal >= LARGEST) return nodes.map(() => LARGEST);
  return meansAt(Math.exp(findRoot(gap, { low: -1, high: 10, tolerance: 1e-12 })));
}

function mixed(moments: readonly { mean: number; square: number }[], logWeights: readonly number[]): SharePosterior {
  const largest = Math.max(...logWeights);
  const weights = logWeights.map((one) => Math.exp(one - largest));
  const total = weights.reduce((sum, one) => sum + one, 0);
  const average = (of: (moment: { mean: number; square: number }) => number) =>
    moments.reduce((sum, moment, node) => sum + of(moment) * (weights[node] ?? 0), 0) / total;
  const mean = Math.min(
    LARGEST,
    average((moment) => moment.mean),
  );
  const variance = Math.max(0, average((moment) => moment.square) - average((moment) => moment.mean) ** 2);
  return { mean, sd: Math.sqrt(variance), ...limits(mean, variance) };
}

function limits(mean: number, variance: number): { low: number; high: number } {
  const size = variance > 0 ? (mean * (1 - mean)) / variance - 1 : Infinity;
  if (!(size > 0 && size < 1e8)) return { low: mean, high: mean };
  const beta = { a: mean * size, b: (1 - mean) * size };
  return { low: Math.min(mean, betaQuantile(0.05, beta)), high: Math.max(mean, betaQuantile(0.95, beta)) };
}
