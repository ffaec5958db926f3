import type { Chance } from "@/lib/kernel/chance";
import { below, type FuzzCell, momentCell, numberCell, pick, textCell, wordCell } from "./fuzz-cells";

/** What must become of a row of a generated table. */
export type Fate = "accepted" | "duplicate" | "conflict" | "refused" | "waiting";

/** A row of a generated table: its cells by column, what must become of it, and what is stored of it when accepted. */
export type FuzzRow = {
  readonly cells: Readonly<Record<string, string>>;
  readonly fate: Fate;
  readonly means: Readonly<Record<string, unknown>>;
};

/** A generated table whose every row's fate is known. */
export type FuzzTable = {
  readonly kind: "readings" | "events" | "work";
  readonly columns: readonly string[];
  readonly rows: readonly FuzzRow[];
};

const MINUTE = 60_000;

/** A table of up to `maxRows` rows with times in the `slot`th hour, so that tables of different slots never touch. */
export function fuzzTable(chance: Chance, { slot, maxRows }: { slot: number; maxRows: number }): FuzzTable {
  const kind = pick(chance, ["readings", "readings", "events", "work"]);
  const wrongShare = pick(chance, [0, 0.1, 0.5]);
  const optional = Object.keys(optionalColumns[kind]).filter(() => chance() < 0.7);
  const columns = [...requiredColumns[kind], ...optional];
  const rows: FuzzRow[] = [];
  const startAt = Date.UTC(2024, 1, 1) + slot * 60 * MINUTE;
  const count = below(chance, maxRows + 1);
  while (rows.length < count) {
    const stored = rows.filter((row) => row.fate === "accepted");
    const earlier = stored[below(chance, stored.length)];
    const draw = chance();
    if (earlier && draw < 0.1) rows.push({ ...earlier, fate: "duplicate" });
    else if (earlier && kind === "readings" && draw < 0.2) rows.push(contradicting(earlier));
    else rows.push(newRow(chance, { kind, columns, at: startAt + rows.length * MINUTE, wrongShare }));
  }
  return { kind, columns, rows };
}

const requiredColumns = {
  readings: ["detector_id", "read_at", "signal_pct"],
  events: ["detector_id", "began_at", "condition"],
  work: ["detector_id", "done_at", "task"],
} as const;

type CellMaker = (chance: Chance, wrong: boolean) => FuzzCell;

const number = (min: number, max: number): CellMaker => {
  return (chance, wrong) => numberCell(chance, { min, max, optional: true, wrong });
};
const text: CellMaker = (chance, wrong) => textCell(chance, { wrong });

const optionalColumns: Record<FuzzTable["kind"], Record<string, CellMaker>> = {
  readings: { compensation_pct: number(0, 100), temperature_c: number(-60, 100) },
  events: {},
  work: {
    result: (chance, wrong) => wordCell(chance, ["pass", "fail"], { wrong, optional: true }),
    signal_before_pct: number(0, 400),
    signal_after_pct: number(0, 400),
    minutes: number(0, 10_080),
    told: text,
    note: text,
  },
};

function newRow(
  chance: Chance,
  {
    kind,
    columns,
    at,
    wrongShare,
  }: { kind: FuzzTable["kind"]; columns: readonly string[]; at: number; wrongShare: number },
): FuzzRow {
  const wrongColumn = chance() < wrongShare ? pick(chance, [columns[0] ?? "", ...columns.slice(1)]) : null;
  const cells: Record<string, string> = {};
  const means: Record<string, unknown> = {};
  let unknown = false;
  for (const column of columns) {
    const wrong = column === wrongColumn;
    // An id is free text, so what is wrong with it is that nobody has such a detector: the row waits.
    const cell = column === "detector_id" ? idCell(chance, wrong) : cellOf(chance, { kind, column, at, wrong });
    cells[column] = cell.text;
    if ("means" in cell) means[column] = cell.means;
    if (column === "detector_id" && wrong) unknown = "means" in cell;
  }
  const fate = wrongColumn === null ? "accepted" : unknown ? "waiting" : "refused";
  return { cells, fate, means };
}

function idCell(chance: Chance, wrong: boolean): FuzzCell {
  if (!wrong) {
    const id = pick(chance, ["D1", "D2", "D3"]);
    return { text: chance() < 0.1 ? ` ${id} ` : id, means: id };
  }
  const unknown = pick(chance, ["D4", "d1", "D1\u200b", "=D1", "__proto__", "toString", "x".repeat(100), "Ä"]);
  return pick<FuzzCell>(chance, [
    { text: unknown, means: unknown },
    { text: "", refused: true },
    { text: "x".repeat(101), refused: true },
    { text: "D\u00001", refused: true },
    { text: "D1\nD2", refused: true },
  ]);
}

function cellOf(
  chance: Chance,
  { kind, column, at, wrong }: { kind: FuzzTable["kind"]; column: string; at: number; wrong: boolean },
): FuzzCell {
  if (column.endsWith("_at")) return momentCell(chance, { at, wrong });
  if (column === "signal_pct") return numberCell(chance, { min: 0, max: 400, optional: false, wrong });
  if (column === "condition")
    return wordCell(chance, ["fire", "fault", "test", "disablement"], { wrong, optional: false });
  if (column === "task") return wordCell(chance, ["clean", "realign"], { wrong, optional: false });
  return optionalColumns[kind][column]?.(chance, wrong) ?? { text: "", means: null };
}

/** The same key with another signal: a conflict, of which the stored row stays. */
function contradicting(row: FuzzRow): FuzzRow {
  const signal = Number(row.means.signal_pct);
  return {
    ...row,
    cells: { ...row.cells, signal_pct: String(signal > 200 ? signal - 1 : signal + 1) },
    fate: "conflict",
  };
}
