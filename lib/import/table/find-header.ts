import { readHeader } from "@/lib/import/header";
import type { SplitRecord } from "@/lib/import/split-records";
import { isName, isValue } from "@/lib/import/table/cell-kinds";

/** Lines at the beginning of a table among which its header is looked for; above it stand titles. */
export const HEADER_SEARCH = 30;

/**
 * A header that was found among the first records of a table: its place, and how well the rows below fit.
 *
 * `place`: index of the record that names the columns, or when `named` is false of the first row, since none does.
 * `known`: it is the header of one of our five files. `support`: share of the records below with as many cells, 0 to 1.
 * `values`: their cells that are numbers or moments, mean of a record. `width`: cells.
 */
export type FoundHeader = {
  readonly place: number;
  readonly named: boolean;
  readonly known: boolean;
  readonly support: number;
  readonly values: number;
  readonly width: number;
};

/** Share of rows that must have the width of a header, so that a title is not taken for one. */
const ENOUGH = 0.6;

/**
 * Finds the header among the first records of a table.
 *
 * It is the first record that is more than half filled, whose cells look like names, and whose width most of the
 * records below share; one further down, before any values, that names more columns goes before it. Without one, the first record of the commonest width names the columns if its cells differ in
 * kind from those below it; else nothing does. `headerLine` is the line that a sender chose, 0 for none; its `place` is
 * -1 when no record begins there.
 */
export function findHeader(
  records: readonly SplitRecord[],
  { headerLine }: { headerLine?: number | undefined } = {},
): FoundHeader {
  if (headerLine === 0) return { ...fitOf(records, 0), named: false, width: commonestWidth(records) };
  if (headerLine !== undefined)
    return fitOf(
      records,
      records.findIndex((record) => record.line === headerLine),
    );
  const search = [...records.slice(0, HEADER_SEARCH).entries()].filter(([, record]) => record.flaw === null);
  const known = search.find(([, { cells }]) => readHeader(cells, { name: "" }).ok);
  if (known) return { ...fitOf(records, known[0]), known: true };
  const byNames = firstNames(records, search);
  if (byNames) return byNames;
  const width = commonestWidth(records);
  const first = search.find(([, { cells }]) => cells.length === width);
  if (!first) return fitOf(records, 0);
  const [place, { cells }] = first;
  const fit = fitOf(records, place);
  const named = cells.some((cell, column) => isName(cell) && mostlyValues(records.slice(place + 1), { column, width }));
  return { ...fit, named: named || !cells.some(isValue) };
}

/** The first record of names, or of those above the first values one that names more columns: titles name few. */
function firstNames(
  records: readonly SplitRecord[],
  search: readonly (readonly [number, SplitRecord])[],
): FoundHeader | null {
  let best: { readonly fit: FoundHeader; readonly names: number } | null = null;
  for (const [place, { cells }] of search) {
    if (best && cells.some(isValue)) break;
    if (!looksLikeNames(cells)) continue;
    const fit = fitOf(records, place);
    const names = cells.filter((cell) => cell.trim() !== "").length;
    if (fit.support >= ENOUGH && names > (best?.names ?? 0)) best = { fit, names };
  }
  return best?.fit ?? null;
}

function looksLikeNames(cells: readonly string[]): boolean {
  const filled = cells.filter((cell) => cell.trim() !== "");
  return filled.length > 0 && filled.length * 2 > cells.length && filled.every(isName);
}

function fitOf(records: readonly SplitRecord[], place: number): FoundHeader {
  const width = records[place]?.cells.length ?? 0;
  const below = records.slice(place + 1);
  const fitting = below.filter(({ cells, flaw }) => flaw === null && cells.length === width);
  const values = fitting.reduce((sum, { cells }) => sum + cells.filter(isValue).length, 0);
  return {
    place,
    named: true,
    known: false,
    support: below.length === 0 ? 1 : fitting.length / below.length,
    values: fitting.length === 0 ? 0 : values / fitting.length,
    width,
  };
}

function commonestWidth(records: readonly SplitRecord[]): number {
  const counts = new Map<number, number>();
  for (const { cells, flaw } of records)
    if (flaw === null) counts.set(cells.length, (counts.get(cells.length) ?? 0) + 1);
  const [commonest] = [...counts].toSorted(
    ([width, count], [other, otherCount]) => otherCount - count || other - width,
  );
  return commonest?.[0] ?? 0;
}

function mostlyValues(rows: readonly SplitRecord[], { column, width }: { column: number; width: number }): boolean {
  const cells = rows.filter((row) => row.cells.length === width).map((row) => row.cells[column] ?? "");
  return cells.length > 0 && cells.filter(isValue).length * 2 > cells.length;
}
