import { calendarOrders } from "@/lib/import/mapping/mapping";
import { readMoment } from "@/lib/import/mapping/moments";
import { readNumber } from "@/lib/import/mapping/numbers";
import { readClock } from "@/lib/import/mapping/times-of-day";

/** What stands in a column of a foreign table, by some of its rows. */
export type ColumnContents = {
  readonly name: string;
  readonly place: number;
  /** Mostly moments, counts since 1970, days, times of day, numbers or texts; empty when nothing stands there. */
  readonly form: "moment" | "unix_seconds" | "unix_milliseconds" | "day" | "clock" | "number" | "text" | "empty";
  /** Distinct values in their order, at most {@link DISTINCT_LIMIT}, and whether there are more. */
  readonly values: readonly string[];
  readonly manyValues: boolean;
  readonly numbers: readonly number[];
  readonly filled: number;
  /** Some cells as they were sent. */
  readonly cells: readonly string[];
};

/** Distinct values of a column that are kept. */
export const DISTINCT_LIMIT = 200;
const MOSTLY = 0.8;
/** Characters of a cell that are looked at. */
const CELL_LENGTH = 200;

/** Looks at the cells of each column. */
export function columnContents(columns: readonly string[], rows: readonly (readonly string[])[]): ColumnContents[] {
  return columns.map((name, place) => {
    const cells = rows.map((row) => (row[place] ?? "").slice(0, CELL_LENGTH).trim()).filter((cell) => cell !== "");
    const distinct = [...new Set(cells)];
    const numbers = cells.flatMap((cell) => numberOf(cell) ?? []);
    return {
      name,
      place,
      form: formOf(cells, numbers.length),
      values: distinct.slice(0, DISTINCT_LIMIT),
      manyValues: distinct.length > DISTINCT_LIMIT,
      numbers,
      filled: cells.length,
      cells,
    };
  });
}

function formOf(cells: readonly string[], numbers: number): ColumnContents["form"] {
  if (cells.length === 0) return "empty";
  const share = (count: number) => count / cells.length >= MOSTLY;
  const moments = cells.map((cell) => calendarOrders.map((order) => readMoment(cell, order)).find((one) => one.ok));
  const timed = moments.filter((one) => one?.ok && one.moment.time !== null).length;
  // Seconds and milliseconds since 1970 of the years 2001 to 2286.
  if (share(cells.filter((cell) => /^[1-9]\d{9}(\.\d+)?$/.test(cell)).length)) return "unix_seconds";
  if (share(cells.filter((cell) => /^[1-9]\d{12}$/.test(cell)).length)) return "unix_milliseconds";
  if (share(timed) && !share(numbers)) return "moment";
  if (share(moments.filter((one) => one?.ok).length) && !share(numbers)) return "day";
  if (share(cells.filter(isClock).length)) return "clock";
  return share(numbers) ? "number" : "text";
}

function isClock(cell: string): boolean {
  if (!/^\d{1,2}[:.h]\d{2}/.test(cell) || /^\d{1,2}\.\d{2}$/.test(cell)) return false;
  const clock = readClock(cell.toLowerCase(), false);
  return clock.ok && clock.rest === "";
}

function numberOf(cell: string): number | null {
  const plain = cell.replace(/\s*(?:%|db|°\s?[cf]?|m|ft|min|h)$/i, "");
  const readings = [
    readNumber(plain, { decimal: "point", unit: "number" }),
    readNumber(plain, { decimal: "comma", unit: "number" }),
  ];
  const good = readings.flatMap((one) => (one.ok ? [Number(one.digits)] : []));
  // Of two readings the smaller is kept: thousands are rare among the values of this trade.
  return good.length === 0 ? null : (good.toSorted((a, b) => Math.abs(a) - Math.abs(b))[0] ?? null);
}
