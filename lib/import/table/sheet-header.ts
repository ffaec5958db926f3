import type { SplitRecord } from "@/lib/import/split-records";
import { type FoundHeader, findHeader } from "@/lib/import/table/find-header";

/**
 * The header of a sheet from its first rows, whose cells end with the last filled one; `width` counts the columns.
 *
 * Rows are as wide as the widest that a tenth of them reach, so that a note beside the table does not widen it.
 */
export function findSheetHeader(
  rows: readonly SplitRecord[],
  { headerLine }: { headerLine: number | undefined },
): FoundHeader & { readonly record: SplitRecord | null } {
  const widths = rows.map((row) => row.cells.length).toSorted((a, b) => b - a);
  const width = widths[Math.floor(rows.length / 10)] ?? 0;
  const even = rows.map((row) => (row.flaw === null ? { ...row, cells: padded(row.cells, width) } : row));
  const header = findHeader(even, { headerLine });
  return { ...header, width: Math.max(header.width, 1), record: even[header.place] ?? null };
}

/** Cells with blank ones after them up to a width; wider ones as they are. */
export function padded(cells: readonly string[], width: number): readonly string[] {
  if (cells.length >= width) return cells;
  return [...cells, ...Array.from({ length: width - cells.length }, () => "")];
}
