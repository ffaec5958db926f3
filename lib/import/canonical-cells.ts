import { cellValues } from "@/lib/import/differences";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import { columnsOf } from "@/lib/records/files";

/**
 * The cells of a record under all columns of its kind, such that reading them gives the same record again.
 *
 * Instants are written in UTC to the millisecond, numbers in decimal digits without an exponent, absent values empty.
 */
export function canonicalCells(row: CanonicalRow): string[] {
  const values = cellValues(row.record);
  return columnsOf(row.kind).map((column) => cellText(values[column] ?? null));
}

function cellText(value: string | number | boolean | null): string {
  if (value === null) return "";
  return typeof value === "number" ? decimalText(value) : String(value);
}

/** A finite number in decimal digits without an exponent, with as many as tell it from every other. */
export function decimalText(value: number): string {
  const parts = /^(-?)(\d)(?:\.(\d+))?e([+-]\d+)$/.exec(String(value));
  if (!parts) return String(value);
  const [, sign = "", first = "", rest = "", exponentText = "0"] = parts;
  const digits = first + rest;
  const exponent = Number(exponentText);
  if (exponent < 0) return `${sign}0.${"0".repeat(-exponent - 1)}${digits}`;
  return sign + digits.padEnd(exponent + 1, "0");
}
