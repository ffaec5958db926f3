import type { Score, Table } from "@/tests/adversary/score";

/** Confusion tables of one seed by title, and what acts on the detectors that were wrongly listed. */
export type Tables = {
  readonly counts: Readonly<Record<string, Table>>;
  readonly falseOnes: Readonly<Record<string, readonly string[]>>;
};

/** The tables of a score. */
export function tablesOf({ tasks, causes, findings }: Score): Tables {
  return {
    counts: {
      "true best task (row) and proposed, of proposed visits": tasks.proposed,
      "the same of visits missed": tasks.missed,
      "true cause (row) and named, of proposed visits": causes.proposed,
      "the same of visits missed, by cause": causes.missed,
    },
    falseOnes: Object.fromEntries(Object.entries(findings).map(([kind, { falseOnes }]) => [kind, falseOnes])),
  };
}

/** All seeds' tables added up, as text to read. */
export function tablesText(all: readonly Tables[]): string {
  const titles = Object.keys(all[0]?.counts ?? {});
  return titles.map((title) => tableText(title, all)).join("\n\n");
}

function tableText(title: string, all: readonly Tables[]): string {
  const sums = new Map<string, Map<string, number>>();
  for (const [row, counts] of all.flatMap(({ counts }) => Object.entries(counts[title] ?? {}))) {
    const own = sums.get(row) ?? new Map<string, number>();
    sums.set(row, own);
    for (const [column, count] of Object.entries(counts)) own.set(column, (own.get(column) ?? 0) + count);
  }
  const rows = [...sums].map(([row, counts]) => {
    const cells = [...counts].sort((a, b) => b[1] - a[1]).map(([column, count]) => `${column} ${count}`);
    return `  ${row.padEnd(28)} ${cells.join(", ")}`;
  });
  return [title, ...rows].join("\n");
}
