import { plainNumber } from "@/lib/records/cells";

/** The columns that a file of rows which did not go in has before its own: where each stood, and why it did not go in. */
export const rejectColumns = [
  "rejected_file",
  "rejected_line",
  "rejected_column",
  "rejected_value",
  "rejected_reason",
] as const;

const formulaStart = /^'*(\s*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]|[\t\r\n])/;

/**
 * A cell that no spreadsheet takes for a formula, and that {@link unguarded} gives back as it was.
 *
 * An apostrophe is put before a cell that would begin a formula, also when apostrophes stand before it already. Plain
 * numbers keep their sign, since they cannot act. Source: the OWASP page on CSV injection (from memory).
 */
export function guarded(cell: string): string {
  return beginsFormula(cell) ? `'${cell}` : cell;
}

/** The cell that {@link guarded} was given; a cell it would not have written stays as it is. */
export function unguarded(cell: string): string {
  if (!cell.startsWith("'")) return cell;
  const rest = cell.slice(1);
  return beginsFormula(rest) ? rest : cell;
}

/** Whether the columns are those of a file of rows that did not go in. */
export function areRejectColumns(columns: readonly string[]): boolean {
  return rejectColumns.every((name, place) => columns[place]?.trim().toLowerCase() === name);
}

function beginsFormula(cell: string): boolean {
  return formulaStart.test(cell) && !plainNumber.test(cell.trim());
}
