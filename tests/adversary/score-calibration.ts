import type { Estimate } from "@/lib/kernel/interval";
import type { Settings } from "@/lib/settings/settings";
import { countInterval, largest, logChance, type Pair, ratioOf, tenths, total } from "@/tests/adversary/score-parts";
import { costOf, trueCost } from "@/tests/adversary/truth";

/** What came of one quantity against what was predicted and what was truly to be expected. */
export type QuantityCalibration = {
  readonly predicted: number;
  readonly expected: number;
  readonly realised: number;
  readonly predictedOverRealised: number | null;
  readonly predictedOverExpected: number | null;
  /** By tenth of the prediction, largest first. */
  readonly tenths: readonly { readonly predicted: number; readonly expected: number; readonly realised: number }[];
};

/** How often intervals held what came, and how likely what came was held to be. */
export type CountCalibration = QuantityCalibration & {
  readonly coverage: number | null;
  readonly coverageTopTenth: number | null;
  readonly oracleCoverage: number | null;
  readonly oracleCoverageTopTenth: number | null;
  /** Mean logarithm of the chance given to what came, by us and by one who knows the hidden state. */
  readonly logScore: number | null;
  readonly oracleLogScore: number | null;
};

/** Calibration of faults, alarms and cost; the oracle knows the hidden state and the variance of what follows it. */
export function calibrationOf(pairs: readonly Pair[], settings: Settings) {
  return {
    faults: countCalibration(pairs, {
      estimate: ({ ranked }) => ranked.expected.faults,
      expected: ({ truth }) => truth.without.faults,
      variance: ({ truth }) => truth.variance.faults,
      realised: ({ truth }) => truth.realised.faults,
    }),
    alarms: countCalibration(pairs, {
      estimate: ({ ranked }) => ranked.expected.unwantedAlarms,
      expected: ({ truth }) => truth.without.alarms,
      variance: ({ truth }) => truth.variance.alarms,
      realised: ({ truth }) => truth.realised.alarms,
    }),
    cost: quantityCalibration(pairs, {
      predicted: ({ ranked }) => ranked.expectedCost.mean,
      expected: ({ truth }) => trueCost(truth, settings),
      realised: ({ truth }) => costOf(truth.realised, settings),
    }),
    avoided: {
      predicted: total(pairs, ({ ranked }) => ranked.visit.avoidedCost.mean),
      expected: total(pairs, ({ proposed }) => proposed.avoided),
    },
  };
}

type Figures = {
  readonly predicted: (pair: Pair) => number;
  readonly expected: (pair: Pair) => number;
  readonly realised: (pair: Pair) => number;
};

function quantityCalibration(pairs: readonly Pair[], figures: Figures): QuantityCalibration {
  const sums = (list: readonly Pair[]) => ({
    predicted: total(list, figures.predicted),
    expected: total(list, figures.expected),
    realised: total(list, figures.realised),
  });
  const all = sums(pairs);
  return {
    ...all,
    predictedOverRealised: ratioOf(all.predicted, all.realised),
    predictedOverExpected: ratioOf(all.predicted, all.expected),
    tenths: tenths(largest(pairs, figures.predicted)).map(sums),
  };
}

function countCalibration(
  pairs: readonly Pair[],
  counts: {
    readonly estimate: (pair: Pair) => Estimate;
    readonly expected: (pair: Pair) => number;
    readonly variance: (pair: Pair) => number;
    readonly realised: (pair: Pair) => number;
  },
): CountCalibration {
  const { estimate, expected, variance, realised } = counts;
  const holds = (pair: Pair) => inside(realised(pair), estimate(pair));
  const oracleHolds = (pair: Pair) => inside(realised(pair), countInterval(expected(pair), variance(pair)));
  const share = (list: readonly Pair[], holding: (pair: Pair) => boolean) =>
    ratioOf(list.filter(holding).length, list.length);
  const top = tenths(largest(pairs, (pair) => estimate(pair).mean))[0] ?? [];
  const mean = (figure: (pair: Pair) => number) => ratioOf(1, pairs.length) && total(pairs, figure) / pairs.length;
  return {
    ...quantityCalibration(pairs, { predicted: (pair) => estimate(pair).mean, expected, realised }),
    coverage: share(pairs, holds),
    coverageTopTenth: share(top, holds),
    oracleCoverage: share(pairs, oracleHolds),
    oracleCoverageTopTenth: share(top, oracleHolds),
    logScore: mean((pair) => logChance(realised(pair), momentsOf(estimate(pair)))),
    oracleLogScore: mean((pair) => logChance(realised(pair), { mean: expected(pair), variance: variance(pair) })),
  };
}

function inside(count: number, { low, high }: { low: number; high: number }): boolean {
  return count >= low && count <= high;
}

// The result carries ends of an interval, no variance; the normal rule gives it back near enough for a log score.
function momentsOf({ mean, low, high }: Estimate): { mean: number; variance: number } {
  return { mean, variance: Math.max(mean, ((high - low) / 3.29) ** 2) };
}
