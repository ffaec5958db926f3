import { type FoldChoice, instantOfWallTime, isLocalDate, type TimeZone } from "@/lib/kernel/time";
import { accepted, type Outcome, refused } from "@/lib/records/outcome";

/** How wall times are read: in which zone, and which of two instants an ambiguous one means. */
export type MomentReading = { readonly zone: TimeZone; readonly fold: FoldChoice };

const pattern = /^(\d{4}-\d{2}-\d{2})[T ](\d{2}):(\d{2})(?::(\d{2})(?:\.(\d{1,3})\d*)?)?(Z|[+-]\d{2}:?\d{2})?$/;

/**
 * Instant of a moment cell: ISO 8601 with an offset, or wall time in the site's zone.
 *
 * Fractions of a second finer than a millisecond are cut off. A wall time the clock skipped is refused; one it showed
 * twice is refused unless the file is marked 'first' or 'second'.
 */
export function momentOf(text: string, column: string, { zone, fold }: MomentReading): Outcome<number> {
  const parts = pattern.exec(text.trim());
  const no = (reason: string) => refused({ column, value: text, reason });
  if (!parts) return no("is not a time; write ISO 8601, such as 2026-03-09T14:05:00+02:00 or 2026-03-09T14:05:00");
  const [, date = "", hourText = "", minuteText = "", secondText = "0", fraction = "0", offset] = parts;
  const [hour, minute, second] = [Number(hourText), Number(minuteText), Number(secondText)];
  const dayAt = startOfUtcDay(date);
  if (dayAt === null) return no("names a day that does not exist; check day and month");
  if (hour > 23 || minute > 59 || second > 59) return no("names a time of day that does not exist");
  const msOfDay = ((hour * 60 + minute) * 60 + second) * 1000 + Number(fraction.padEnd(3, "0"));
  if (offset !== undefined) {
    const offsetMs = offsetMsOf(offset);
    if (offsetMs === null) return no("has an offset outside -14:00..+14:00");
    return accepted(dayAt + msOfDay - offsetMs);
  }
  const [year = 0, month = 1, day = 1] = date.split("-").map(Number);
  const result = instantOfWallTime({ year, month, day, msOfDay }, zone, fold);
  if (result.ok) return accepted(result.at);
  if (result.reason === "skipped") {
    return no(
      `did not exist in ${zone}: the clocks went forward; send the time with its offset, such as 2026-03-09T14:05:00+02:00`,
    );
  }
  return no(
    `happened twice in ${zone}: the clocks went back; send it with its offset, or mark the import with the 'first' or the 'second' of the two (--fold)`,
  );
}

function offsetMsOf(offset: string): number | null {
  if (offset === "Z") return 0;
  const sign = offset.startsWith("-") ? -1 : 1;
  const digits = offset.slice(1).replace(":", "");
  const [hours, minutes] = [Number(digits.slice(0, 2)), Number(digits.slice(2))];
  if (hours > 14 || minutes > 59 || hours * 60 + minutes > 14 * 60) return null;
  return sign * (hours * 60 + minutes) * 60_000;
}

const knownDays = new Map<string, number>();

/** Instant at which a day begins in UTC, null for a day that does not exist; remembered, as rows share their days. */
function startOfUtcDay(date: string): number | null {
  const known = knownDays.get(date);
  if (known !== undefined) return known;
  if (!isLocalDate(date)) return null;
  const at = Date.parse(`${date}T00:00:00Z`);
  if (knownDays.size > 20_000) knownDays.clear();
  knownDays.set(date, at);
  return at;
}
