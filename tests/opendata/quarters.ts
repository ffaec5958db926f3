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
  const order = worstFirst(machines, scores).map((machine) => ({ machine, outcome: outcome.get(machine) ?? 0 }));
  return shareOf(order, () => 1);
}

function worstFirst(machines: readonly string[], scores: Scores): string[] {
  return [...machines].sort((a, b) => (scores.get(b) ?? 0) - (scores.get(a) ?? 0) || (a < b ? -1 : 1));
}

/** A quarter with the scores of each practice that is compared. */
export type ScoredQuarter = { readonly quarter: Quarter; readonly scores: Readonly<Record<string, Scores>> };

/** Mean over quarters of the decile share of each practice. */
export function meanShares(quarters: readonly ScoredQuarter[]): Record<string, number> {
  return meansOf(quarters.map(orderedQuarter), () => 1);
}

/** A quarter made ready to be drawn from again and again: machines of each practice, worst first, with their outcome. */
type OrderedQuarter = Readonly<Record<string, readonly { readonly machine: string; readonly outcome: number }[]>>;

function orderedQuarter({ quarter, scores }: ScoredQuarter): OrderedQuarter {
  const { machines, outcome } = quarter;
  const entries = Object.entries(scores).map(([name, values]) => {
    const order = worstFirst(machines, values).map((machine) => ({ machine, outcome: outcome.get(machine) ?? 0 }));
    return [name, order] as const;
  });
  return Object.fromEntries(entries);
}

/** Mean shares when each machine stands in the fleet as many times as `copiesOf` says. */
function meansOf(quarters: readonly OrderedQuarter[], copiesOf: (machine: string) => number): Record<string, number> {
  const means: Record<string, number> = {};
  for (const quarter of quarters) {
    for (const [name, order] of Object.entries(quarter)) {
      means[name] = (means[name] ?? 0) + shareOf(order, copiesOf) / quarters.length;
    }
  }
  return means;
}

function shareOf(order: OrderedQuarter[string], copiesOf: (machine: string) => number): number {
  let [machines, total] = [0, 0];
  for (const { machine, outcome } of order) {
    machines += copiesOf(machine);
    total += copiesOf(machine) * outcome;
  }
  let [left, held] = [Math.round(machines / 10), 0];
  for (const { machine, outcome } of order) {
    const taken = Math.min(left, copiesOf(machine));
    held += taken * outcome;
    left -= taken;
    if (left === 0) break;
  }
  return total === 0 ? 0 : held / total;
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
  const ordered = quarters.map(orderedQuarter);
  const samples: Record<string, number[]> = {};
  for (let draw = 0; draw < draws; draw += 1) {
    const copies = new Map<string, number>();
    for (let left = everyone.length; left > 0; left -= 1) {
      const machine = everyone[Math.floor(chance() * everyone.length)] ?? "";
      copies.set(machine, (copies.get(machine) ?? 0) + 1);
    }
    const means = meansOf(ordered, (machine) => copies.get(machine) ?? 0);
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
