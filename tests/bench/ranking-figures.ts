import type { Measured } from "@/tests/adversary/measure";
import type { Score } from "@/tests/adversary/score";
import { scoredKinds } from "@/tests/adversary/score";
import { rounded } from "@/tests/bench/proportion";
import { type Tables, tablesOf } from "@/tests/bench/ranking-tables";

/** Names of what is counted and valued over the horizon. */
export const quantities = ["faults", "alarms", "cost"] as const;

type Tenths = Score["calibration"]["cost"]["tenths"];

/** One line of the bench: the scoreboard of a seed in plain figures. */
export type SeedLine = {
  readonly seed: string | number;
  readonly figures: Readonly<Record<string, number | null>>;
  /** By tenth of the prediction, largest first. */
  readonly tenths: Readonly<Record<(typeof quantities)[number], Tenths>>;
  readonly findings: Readonly<Record<string, { readonly listed: number; readonly wrong: number }>>;
  readonly ms: Measured["ms"];
  readonly tables?: Tables;
};

/** The line of a measured seed, with confusion tables where asked for. */
export function seedLine({ seed, score, ms }: Measured, { withTables }: { withTables: boolean }): SeedLine {
  const { faults, alarms, cost } = score.calibration;
  const whole = {
    simulate: Math.round(ms.simulate),
    summarise: Math.round(ms.summarise),
    analyse: Math.round(ms.analyse),
  };
  return {
    seed,
    figures: Object.fromEntries(
      figuresOf(score).map(([name, value]) => [name, value === null ? null : rounded(value)]),
    ),
    tenths: { faults: short(faults.tenths), alarms: short(alarms.tenths), cost: short(cost.tenths) },
    findings: Object.fromEntries(
      scoredKinds.map((kind) => {
        const { listed, falselyListed } = score.findings[kind];
        return [kind, { listed, wrong: falselyListed }];
      }),
    ),
    ms: whole,
    ...(withTables ? { tables: tablesOf(score) } : {}),
  };
}

function short(tenths: Tenths): Tenths {
  return tenths.map(({ predicted, expected, realised }) => ({
    predicted: rounded(predicted),
    expected: rounded(expected),
    realised,
  }));
}

function figuresOf(score: Score): [string, number | null][] {
  const { capture, visits, findings, calibration } = score;
  return [
    ["avoidable cost in our top 5 %", capture.ours],
    ["in the top 5 % by most faults", capture.mostFaults],
    ["by most events", capture.mostEvents],
    ["by our expected cost", capture.mostExpectedCost],
    ["with the cause of every episode known", capture.informed],
    ["with perfect knowledge", capture.perfect],
    ["avoided by the tasks we propose", capture.oursByProposedTask],
    ["ours over most faults", capture.overMostFaults],
    ["ours of perfect", capture.ofPerfect],
    ["true net of our visits of the clairvoyant's", visits.ofPerfect],
    ["the same with every cause known", visits.informedOfPerfect],
    ["the same of most faults, clean", visits.simpleOfPerfect],
    ["the same had we named the best task", shareOf(visits.trueNetIfBestTask, visits.trueNetOfPerfect)],
    ["visits proposed", visits.proposed],
    ["visits of the clairvoyant", visits.clairvoyantVisits],
    ["of our visits truly pay", visits.paying],
    ["predicted over true net of our visits", shareOf(visits.predictedNetOfOurs, visits.trueNetOfOurs)],
    ["right task, within 5 % of cost", visits.rightTask],
    ["right task, strictly", visits.rightTaskStrict],
    ["right task where a visit truly pays", visits.rightTaskWhereWorthwhile],
    ...(["faults", "alarms"] as const).flatMap((name) => countFigures(name, calibration[name])),
    ["cost: predicted over expected", calibration.cost.predictedOverExpected],
    ["cost: predicted over realised", calibration.cost.predictedOverRealised],
    ...scoredKinds.flatMap((kind): [string, number | null][] => [
      [`${kind}: false share`, findings[kind].falseShare],
      [`${kind}: recall of the strong`, findings[kind].recall],
    ]),
  ];
}

function countFigures(name: string, count: Score["calibration"]["faults"]): [string, number | null][] {
  return [
    [`${name}: predicted over realised`, count.predictedOverRealised],
    [`${name}: predicted over expected`, count.predictedOverExpected],
    [`${name}: 90 % interval holds`, count.coverage],
    [`${name}: in the top tenth`, count.coverageTopTenth],
    [`${name}: the oracle's interval holds`, count.oracleCoverage],
    [`${name}: in our top tenth`, count.oracleCoverageTopTenth],
    [`${name}: log score`, count.logScore],
    [`${name}: the oracle's log score`, count.oracleLogScore],
  ];
}

function shareOf(part: number, whole: number): number | null {
  return whole > 0 ? part / whole : null;
}
