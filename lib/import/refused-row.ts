import { shown } from "@/lib/import/quote";
import type { Refusal } from "@/lib/records/outcome";

/** Characters of a refused cell that are kept: enough to mend it, too few to fill the store. */
export const KEPT_CELL_LIMIT = 10_000;

/** The cells of a refused row as they are kept; an overlong one is cut, marked by '…'. */
export function keptCells(cells: readonly string[]): string[] {
  return cells.map((cell) => (cell.length > KEPT_CELL_LIMIT ? `${cell.slice(0, KEPT_CELL_LIMIT)}…` : cell));
}

/** Where the flaw of a line that could not be cut into cells lies: its column, and what stands there. */
export function columnOfFlaw(
  cells: readonly string[],
  header: readonly string[],
): { column: string | null; value: string | null } {
  const parts = cells.length === 1 ? (cells[0] ?? "").split(",") : cells;
  const unreadable = parts.findIndex((part) => part.includes("\ufffd"));
  const place = unreadable === -1 ? parts.findIndex((part) => part.includes('"')) : unreadable;
  if (place === -1) return { column: null, value: shown(cells.join(",")) };
  return { column: header[place] ?? null, value: shown(parts[place] ?? "") };
}

/** The refusal of a last row without line end that has fewer cells than the header. */
export function truncatedRow(cells: readonly string[], header: readonly string[]): Refusal {
  return {
    column: header[cells.length] ?? null,
    value: shown(cells.join(",")),
    reason: `the file ends in the middle of this row, after ${cells.length} of ${header.length} cells; send the file again whole`,
  };
}
