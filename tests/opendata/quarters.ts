import { seededChance } from "@/lib/kernel/chance";
import type { LiftMonth } from "@/tests/opendata/convert";

/** One quarter: what is known of each machine at its start, and what then happened. */
export type Quarter = {
  /** Last day known, `YYYY-MM-DD`. */
  readonly asOfOn: string;
  readonly machines: readonly string[];
  /** Unscheduled outages of the last 12 months, by machine. */
  readonly counted: ReadonlyMap<string, number>;
  /** Unscheduled outages of the next three months, by machine. */
  readonly outcome: ReadonlyMap<string, number>;
};

/** A way to order machines: a score for each, higher is worse. */
export type Scores = ReadonlyMap<string, number>;

/** The quarter after an as-of month, `YYYY-MM`: machines listed in that month, as anyone could know then. */
export function quarterAfter(month: string, months: readonly LiftMonth[]): Quarter {
  const index = monthIndex(month);
  const machines = months.filter((one) => one.month === month).map((one) => one.lift);
  const totals = (from: number, to: number) => {
    const sums = new Map(machines.map((machine) => [machine, 0]));
    for (const { lift, month: own, unscheduled } of months) {
      const at = monthIndex(own);
      const known = sums.get(lift);
      if (at >= from && at <= to && known !== undefined) sums.set(lift, known + unscheduled);
    }
    return sums;
  };
  return {
    asOfOn: lastDayOf(month),
    machines,
    counted: totals(index - 11, index),
    outcome: totals(index + 1, index + 3),
  };
}

/** Share of the outcome that the top decile by score held, 0..1; ties by id. */
export function decileShare(machines: readonly string[], { scores, outcome }: { scores: Scores; outcome: Scores }) {
  const size = Math.round(machines.length / 10);
  const order = [...machines].sort((a, b) => (scores.get(b) ?? 0) - (scores.get(a) ?? 0) || (a < b ? -1 : 1));
  const total = machines.reduce((sum, machine) => sum + (outcome.get(machine) ?? 0), 0);
  const held = order.slice(0, size).reduce((sum, machine) => sum + (outcome.get(machine) ?? 0), 0);
  return total === 0 ? 0 : held / total;
}

/** A quarter with the scores of each practice that is compared. */
export type ScoredQuarter = { readonly quarter: Quarter; readonly scores: Readonly<Record<string, Scores>> };

/** Mean over quarters of the decile share of each practice. */
export function meanShares(quarters: readonly ScoredQuarter[]): Record<string, number> {
  return meanSharesOf(quarters.map((one) => ({ ...one, machines: one.quarter.machines })));
}

function meanSharesOf(
  quarters: readonly (ScoredQuarter & { readonly machines: readonly string[] })[],
): Record<string, number> {
  const names = Object.keys(quarters[0]?.scores ?? {});
  const entries = names.map((name) => {
    const shares = quarters.map(({ machines, quarter, scores }) =>
      decileShare(machines, { scores: scores[name] ?? new Map(), outcome: quarter.outcome }),
    );
    return [name, shares.reduce((sum, share) => sum + share, 0) / shares.length] as const;
  });
  return Object.fromEntries(entries);
}

/** An interval of a mean share, or of a difference of two: 5 % and 95 % points. */
export type ShareInterval = { readonly low: number; readonly high: number };

/**
 * Bootstrap over machines: machines are drawn with replacement, the same draw for all quarters and practices, so that
 * what one machine does again and again counts once as a source of chance.
 *
 * @returns for each practice, and for each `a - b` of `pairs`, the 90 % percentile interval of the mean share
 */
export function bootstrapShares(
  quarters: readonly ScoredQuarter[],
  { draws, seed, pairs }: { draws: number; seed: string; pairs: readonly (readonly [string, string])[] },
): Record<string, ShareInterval> {
  const chance = seededChance(seed);
  const everyone = [...new Set(quarters.flatMap(({ quarter }) => quarter.machines))].sort();
  const samples: Record<string, number[]> = {};
  for (let draw = 0; draw < draws; draw += 1) {
    const copies = everyone.map(() => everyone[Math.floor(chance() * everyone.length)] ?? "");
    const means = meanSharesOf(quarters.map((one) => ({ ...one, ...resampled(one, copies) })));
    const differences = pairs.map(([a, b]) => [`${a} - ${b}`, (means[a] ?? 0) - (means[b] ?? 0)] as const);
    for (const [name, value] of [...Object.entries(means), ...differences]) {
      const values = samples[name] ?? [];
      samples[name] = values;
      values.push(value);
    }
  }
  const at = (sorted: readonly number[], share: number) => sorted[Math.round(share * (sorted.length - 1))] ?? 0;
  return Object.fromEntries(
    Object.entries(samples).map(([name, values]) => {
      const sorted = values.toSorted((a, b) => a - b);
      return [name, { low: at(sorted, 0.05), high: at(sorted, 0.95) }];
    }),
  );
}

/** A quarter whose machines are the drawn copies; each copy is a machine of its own with the same numbers. */
function resampled({ quarter, scores }: ScoredQuarter, copies: readonly string[]) {
  const listed = new Set(quarter.machines);
  const kept = copies
    .map((machine, copy) => [machine, `${machine}#${copy}`] as const)
    .filter(([one]) => listed.has(one));
  const renamed = (values: Scores) => new Map(kept.map(([machine, copy]) => [copy, values.get(machine) ?? 0]));
  return {
    machines: kept.map(([, copy]) => copy),
    quarter: { ...quarter, outcome: renamed(quarter.outcome) },
    scores: Object.fromEntries(Object.entries(scores).map(([name, values]) => [name, renamed(values)])),
  };
}

/** Entries by a key, in their order. */
export function groupBy<Entry>(entries: readonly Entry[], keyOf: (entry: Entry) => string): Map<string, Entry[]> {
  const groups = new Map<string, Entry[]>();
  for (const entry of entries) {
    const group = groups.get(keyOf(entry));
    if (group) group.push(entry);
    else groups.set(keyOf(entry), [entry]);
  }
  return groups;
}

function monthIndex(month: string): number {
  const [year = 0, number = 1] = month.split("-").map(Number);
  return year * 12 + number - 1;
}

function lastDayOf(month: string): string {
  const [year = 0, number = 1] = month.split("-").map(Number);
  return new Date(Date.UTC(year, number, 0)).toISOString().slice(0, 10);
}
