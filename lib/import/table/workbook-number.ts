import type { FormatKind } from "@/lib/import/table/number-format";
import { plainNumber } from "@/lib/import/table/plain-number";

const DAY_MS = 86_400_000;
/** Day number of the first day after those that the calendar of 1900 counts wrongly, for it takes 1900 for a leap year. */
const FIRST_RIGHT_DAY = 61;
/** Day numbers end with the year 9999. */
const DAYS_END = 2_958_466;

/**
 * A number of a workbook as text, as its format shows it: plain decimal digits, `95.5%`, `2025-03-01`,
 * `2025-03-01T06:30:00` (wall time, to the second) or `06:30:00`; null when the text is no number.
 *
 * A date format over a number that is no day of the calendar gives the plain number. Days count from 1900 or from 1904,
 * as the workbook says.
 */
export function workbookNumber(
  raw: string,
  { kind, from1904 }: { kind: FormatKind; from1904: boolean },
): string | null {
  const text = raw.trim();
  const value = Number(text);
  if (text === "" || !Number.isFinite(value) || !/^[-+.\d]+([eE][-+]?\d+)?$/.test(text)) return null;
  // Workbooks write 95.2 as 95.200000000000003; the shortest digits that give the same number are what was typed.
  const digits = /^-?\d{1,17}$/.test(text) ? text : String(value);
  if (kind === "number") return plainNumber(digits);
  if (kind === "percent")
    return `${plainNumber(`${digits}e2`.replace(/e(.*)e2$/, (_, power) => `e${Number(power) + 2}`))}%`;
  if (value < 0 || value >= DAYS_END) return plainNumber(digits);
  if (kind === "elapsed") return clockText(Math.round((value * DAY_MS) / 1_000));
  const seconds = Math.round((value * DAY_MS) / 1_000);
  const day = Math.floor(seconds / 86_400);
  const clock = clockText(seconds % 86_400);
  if (kind === "time" && day === 0) return clock;
  const date = dateText(day, from1904);
  if (date === null) return plainNumber(digits);
  return kind === "date" && seconds % 86_400 === 0 ? date : `${date}T${clock}`;
}

function clockText(seconds: number): string {
  const parts = [Math.floor(seconds / 3_600), Math.floor(seconds / 60) % 60, seconds % 60];
  return parts.map((part) => String(part).padStart(2, "0")).join(":");
}

function dateText(day: number, from1904: boolean): string | null {
  if (!from1904 && day === 0) return null;
  // The day that never was; whoever reads it refuses it.
  if (!from1904 && day === FIRST_RIGHT_DAY - 1) return "1900-02-29";
  const start = from1904 ? Date.UTC(1904, 0, 1) : Date.UTC(1899, 11, day < FIRST_RIGHT_DAY ? 31 : 30);
  const found = new Date(start + day * DAY_MS).toISOString().slice(0, 10);
  return found.length === 10 ? found : null;
}
