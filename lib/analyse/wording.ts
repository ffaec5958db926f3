import { localDateOf, type TimeZone } from "@/lib/kernel/time";

const monthNames = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
];

/** A number as a sentence carries it: whole from 10 on, one decimal from 1 on, two below; no trailing zeros. */
export function inWords(value: number): string {
  const size = Math.abs(value);
  const digits = size >= 10 ? 0 : size >= 1 ? 1 : 2;
  return String(Number(value.toFixed(digits)));
}

/** A share as whole percent: 0.834 is "83 %". */
export function percentInWords(share: number): string {
  return `${Math.round(100 * share)} %`;
}

/** Calendar day of an instant in a zone: "9 March 2026". */
export function dayInWords(at: number, zone: TimeZone): string {
  const date = localDateOf(at, zone);
  return `${dayOfYearInWords(date)} ${date.slice(0, 4)}`;
}

/** Day and month of a `YYYY-MM-DD` date: "9 March". */
export function dayOfYearInWords(date: string): string {
  return `${Number(date.slice(8, 10))} ${monthNames[Number(date.slice(5, 7)) - 1] ?? ""}`;
}

/** A fraction of the year as day and month: 0.185 is "9 March". */
export function yearFractionInWords(fraction: number): string {
  const wrapped = ((fraction % 1) + 1) % 1;
  return dayOfYearInWords(new Date(Date.UTC(2025, 0, 1) + wrapped * 365 * 86_400_000).toISOString());
}

/** A number of things: "1 fault episode", "3 fault episodes". */
export function countInWords(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? "" : "s"}`;
}

/** An interval in words; null for the upper end reads "no upper limit". */
export function intervalInWords(low: number | null, high: number | null): string {
  return `95 % interval ${low === null ? "without lower limit" : inWords(low)} to ${high === null ? "no upper limit" : inWords(high)}`;
}

/** A p-value as people read it. */
export function chanceInWords(p: number): string {
  if (p < 0.0001) return "less than 1 in 10,000";
  if (p < 0.1) return `about 1 in ${Math.round(1 / p).toLocaleString("en")}`;
  return p.toFixed(2);
}
