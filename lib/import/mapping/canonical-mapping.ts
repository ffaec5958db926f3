import { type ColumnRule, calendarOrders, type Mapping, nameable } from "@/lib/import/mapping/mapping";
import { readMoment } from "@/lib/import/mapping/moments";
import { readNumber } from "@/lib/import/mapping/numbers";
import { formOfColumn, unitsOf } from "@/lib/import/mapping/units";
import { sameName } from "@/lib/import/table/column-names";
import { columnsOf, type FileKind } from "@/lib/records/files";

/**
 * The mapping of a file that has our column names but foreign dates or decimals: each column to itself in our own unit,
 * the order of dates and the decimal sign left to the file's evidence.
 */
export function canonicalMapping(kind: FileKind, columns: readonly string[]): Mapping {
  const theirs = new Map(columns.map((name) => [sameName(name), name]));
  const rules = columnsOf(kind).flatMap((column): [string, ColumnRule][] => {
    const name = theirs.get(column);
    return name === undefined ? [] : [[column, { parts: [{ column: name }], read: readingOf(column) }]];
  });
  return { form: 1, kind, table: {}, columns: Object.fromEntries(rules), madeFor: nameable(columns) };
}

/** Rows by which it is judged whether a file is plain; an import and a look at a file beforehand must agree. */
export const JUDGED_ROWS = 1_000;

/**
 * Whether a file with our column names also has our dates and numbers, judged by some of its rows.
 *
 * A column is foreign when more of its cells can only be read the foreign way than the plain way, so that a single bad
 * cell stays a bad cell. True for no rows.
 */
export function isPlainCanonical(
  kind: FileKind,
  columns: readonly string[],
  rows: readonly (readonly string[])[],
): boolean {
  const names = columns.map(sameName);
  return columnsOf(kind).every((column) => {
    const place = names.indexOf(column);
    if (place === -1) return true;
    const cells = rows.map((cells) => (cells[place] ?? "").trim()).filter((cell) => cell !== "");
    // Whole numbers are written alike everywhere and speak for neither.
    const plain = cells.filter((cell) => isPlain(column, cell) && !/^[+-]?\d+$/.test(cell)).length;
    const foreign = cells.filter((cell) => !isPlain(column, cell) && isForeign(column, cell)).length;
    return foreign <= plain;
  });
}

function readingOf(column: string): ColumnRule["read"] {
  const form = formOfColumn(column);
  if (form === "moment" || form === "day") return { as: "moment", order: null, zone: "site" };
  const [unit] = unitsOf(column);
  return unit === undefined ? { as: "text" } : { as: "number", decimal: null, unit };
}

function isPlain(column: string, cell: string): boolean {
  switch (formOfColumn(column)) {
    case "moment":
      return /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d/.test(cell);
    case "day":
      return /^\d{4}-\d\d-\d\d$/.test(cell);
    case "number":
      return /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(cell);
    default:
      return true;
  }
}

function isForeign(column: string, cell: string): boolean {
  const form = formOfColumn(column);
  if (form === "moment" || form === "day") return calendarOrders.some((order) => readMoment(cell, order).ok);
  const [unit] = unitsOf(column);
  if (unit === undefined) return false;
  return readNumber(cell, { decimal: "comma", unit }).ok || readNumber(cell, { decimal: "point", unit }).ok;
}
