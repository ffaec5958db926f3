import type { Estimate } from "@/lib/kernel/interval";
import { bootstrapShares, decileShare, meanShares, type Quarter, type ScoredQuarter } from "@/tests/opendata/quarters";

/** What a ranking as of the start of a quarter said of its machines. */
export type QuarterRanking = {
  readonly expectedFaults: ReadonlyMap<string, Estimate>;
  readonly netBenefit: ReadonlyMap<string, number>;
};

/** A quarter with the ranking made at its start. */
export type RankedQuarter = { readonly quarter: Quarter; readonly ranking: QuarterRanking };

/** The practices compared, in the order of the columns. */
export const practices = ["counted", "expected", "benefit", "perfect"] as const;

/** Draws and seed of the bootstrap, so that the intervals come out the same for everyone. */
const bootstrap = {
  draws: 1000,
  seed: "proof",
  pairs: [
    ["expected", "counted"],
    ["benefit", "counted"],
  ],
} as const;

/** The quarters with the scores of each practice. */
export function scored(quarters: readonly RankedQuarter[]): ScoredQuarter[] {
  return quarters.map(({ quarter, ranking }) => {
    const expected = new Map([...ranking.expectedFaults].map(([machine, { mean }]) => [machine, mean]));
    const scores = { counted: quarter.counted, expected, benefit: ranking.netBenefit, perfect: quarter.outcome };
    return { quarter, scores };
  });
}

/** The tables of docs/proof.md, as Markdown. */
export function proofTables(quarters: readonly RankedQuarter[]): string {
  const all = scored(quarters);
  const means = meanShares(all);
  const intervals = bootstrapShares(all, bootstrap);
  const withInterval = (name: string) => {
    const { low = 0, high = 0 } = intervals[name] ?? {};
    return `**${percent(means[name] ?? 0)}** (${percent(low)} to ${percent(high)})`;
  };
  const rows = all.map(({ quarter, scores }) => {
    const { machines, outcome } = quarter;
    const share = (name: string) => percent(decileShare(machines, { scores: scores[name] ?? new Map(), outcome }));
    return [quarter.asOfOn, machines.length, sumOf(outcome), ...practices.map(share)];
  });
  const head = ["as of", "lifts", "outages in the next quarter", "last 12 months", "expected faults", "net benefit"];
  const mean = ["**mean** (90 % interval)", "", "", ...practices.map(withInterval)];
  return [
    markdown([...head, "perfect knowledge"], [...rows, mean]),
    differences(means, intervals),
    markdown(forecastHead, quarters.map(forecastRow)),
  ].join("\n");
}

function differences(means: Record<string, number>, intervals: ReturnType<typeof bootstrapShares>): string {
  const lines = bootstrap.pairs.map(([a, b]) => {
    const { low = 0, high = 0 } = intervals[`${a} - ${b}`] ?? {};
    const name = a === "expected" ? "expected faults" : "net benefit";
    const points = (value: number) => {
      const text = Math.abs(100 * value).toFixed(1);
      return text === "0.0" ? text : `${value < 0 ? "-" : "+"}${text}`;
    };
    const difference = points((means[a] ?? 0) - (means[b] ?? 0));
    return `- ${name} less last 12 months: ${difference} points (90 % interval ${points(low)} to ${points(high)})`;
  });
  return `${lines.join("\n")}\n`;
}

const forecastHead = ["as of", "outages forecast", "outages that came", "lifts inside their 90 % interval"];

function forecastRow({ quarter, ranking }: RankedQuarter): (string | number)[] {
  const { machines, outcome } = quarter;
  const forecast = machines.reduce((sum, machine) => sum + (ranking.expectedFaults.get(machine)?.mean ?? 0), 0);
  return [quarter.asOfOn, Math.round(forecast), sumOf(outcome), percent(coverage({ quarter, ranking }))];
}

/** Share of machines whose outages of the quarter lay inside their prediction interval, ends included. */
export function coverage({ quarter, ranking }: RankedQuarter): number {
  const inside = quarter.machines.filter((machine) => {
    const interval = ranking.expectedFaults.get(machine);
    const came = quarter.outcome.get(machine) ?? 0;
    return interval !== undefined && came >= interval.low && came <= interval.high;
  });
  return inside.length / quarter.machines.length;
}

function markdown(head: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  const line = (cells: readonly (string | number)[]) => `| ${cells.join(" | ")} |`;
  return `${[line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n")}\n`;
}

function sumOf(values: ReadonlyMap<string, number>): number {
  return [...values.values()].reduce((sum, value) => sum + value, 0);
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}
