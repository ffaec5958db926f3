import { Temporal } from "temporal-polyfill";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";

/** Milliseconds since 1970-01-01T00:00:00Z. */
export type Instant = number;
/** Calendar day, `YYYY-MM-DD`. */
export type LocalDate = string;
/** Calendar month, `YYYY-MM`. */
export type Month = string;
/** IANA name of a time zone, `Europe/Helsinki`. */
export type TimeZone = string;

/** Which instant an ambiguous wall time means: none ('refuse'), the one before or the one after the clock went back. */
export type FoldChoice = "refuse" | "first" | "second";

/** The outcome of reading a wall time in a zone: an instant, or why there is none. */
export type WallTimeResult =
  | { readonly ok: true; readonly at: Instant }
  | { readonly ok: false; readonly reason: "skipped" | "ambiguous" };

/** Parts of a wall clock; month 1..12, milliseconds since midnight for the time of day. */
export type WallTime = {
  readonly year: number;
  readonly month: number;
  readonly day: number;
  readonly msOfDay: number;
};

/** Whether the runtime knows a time zone by this IANA name (an offset such as `+02:00` is not a zone). */
export function isTimeZone(name: string): boolean {
  if (!/^[A-Za-z][A-Za-z0-9_+\-/]*$/.test(name)) return false;
  try {
    offsetMsAt(0, name);
    return true;
  } catch {
    return false;
  }
}

/**
 * Instant of a wall time in a zone.
 *
 * @returns the instant; or `skipped` for a time the clock jumped over, `ambiguous` for one it showed twice under 'refuse'
 */
export function instantOfWallTime(wall: WallTime, zone: TimeZone, fold: FoldChoice): WallTimeResult {
  const asUtc = Date.UTC(wall.year, wall.month - 1, wall.day) + wall.msOfDay;
  // Every offset change is at most a day away from the wall time read as UTC, so two offsets tell whether one is near.
  const before = offsetMsAt(asUtc - DAY_MS, zone);
  const after = offsetMsAt(asUtc + DAY_MS, zone);
  if (before === after) return { ok: true, at: asUtc - before };
  const candidates = [...new Set([before, after])]
    .map((offset) => asUtc - offset)
    .filter((at) => at + offsetMsAt(at, zone) === asUtc)
    .sort((a, b) => a - b);
  const [first, second] = candidates;
  if (first === undefined) return { ok: false, reason: "skipped" };
  if (second === undefined) return { ok: true, at: first };
  if (fold === "refuse") return { ok: false, reason: "ambiguous" };
  return { ok: true, at: fold === "first" ? first : second };
}

/** Wall clock of an instant in a zone. */
export function wallTimeOf(at: Instant, zone: TimeZone): WallTime {
  const shifted = new Date(at + offsetMsAt(at, zone));
  return {
    year: shifted.getUTCFullYear(),
    month: shifted.getUTCMonth() + 1,
    day: shifted.getUTCDate(),
    msOfDay: ((shifted.getTime() % DAY_MS) + DAY_MS) % DAY_MS,
  };
}

/** Calendar day of an instant in a zone. */
export function localDateOf(at: Instant, zone: TimeZone): LocalDate {
  return new Date(at + offsetMsAt(at, zone)).toISOString().slice(0, 10);
}

/** Calendar month of an instant in a zone. */
export function monthOf(at: Instant, zone: TimeZone): Month {
  return localDateOf(at, zone).slice(0, 7);
}

/** Hour of day, 0 <= h < 24 with fraction, of an instant in a zone. */
export function hourOfDay(at: Instant, zone: TimeZone): number {
  return wallTimeOf(at, zone).msOfDay / HOUR_MS;
}

/** Fraction of its own calendar year, in [0, 1), at which an instant stands in a zone (leap years have 366 days). */
export function yearFraction(at: Instant, zone: TimeZone): number {
  const local = at + offsetMsAt(at, zone);
  const year = new Date(local).getUTCFullYear();
  const startAt = Date.UTC(year, 0, 1);
  return (local - startAt) / (Date.UTC(year + 1, 0, 1) - startAt);
}

/** Instant at which a calendar day begins in a zone; where midnight is skipped, the first instant of the day. */
export function startOfDay(date: LocalDate, zone: TimeZone): Instant {
  return Temporal.PlainDate.from(date).toZonedDateTime(zone).epochMilliseconds;
}

/** Whether a text is a real calendar day written `YYYY-MM-DD`. */
export function isLocalDate(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const at = Date.parse(`${text}T00:00:00Z`);
  return Number.isFinite(at) && new Date(at).toISOString().slice(0, 10) === text;
}

/** `n` days after (before, if negative) a calendar day. */
export function addDays(date: LocalDate, n: number): LocalDate {
  return new Date(Date.parse(`${date}T00:00:00Z`) + n * DAY_MS).toISOString().slice(0, 10);
}

/**
 * Moment meant by an as-of text: a date is the end of that day in UTC, an instant with offset is itself.
 *
 * @returns null when the text is neither
 */
export function asOfInstant(text: string): Instant | null {
  if (isLocalDate(text)) return Date.parse(`${text}T00:00:00Z`) + DAY_MS;
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,3})?)?(Z|[+-]\d{2}:\d{2})$/.test(text)) return null;
  if (!isLocalDate(text.slice(0, 10))) return null;
  const at = Date.parse(text);
  return Number.isFinite(at) ? at : null;
}

/** Offset of a zone's wall clock from UTC at an instant, in milliseconds; throws RangeError for an unknown zone. */
export function offsetMsAt(at: Instant, zone: TimeZone): number {
  const cache = offsetsOf(zone);
  const day = Math.floor(at / DAY_MS);
  const wholeDay = cache.byDay.get(day);
  if (wholeDay !== undefined) return wholeDay;
  const first = computeOffset(day * DAY_MS, zone);
  const last = computeOffset((day + 1) * DAY_MS - 1, zone);
  if (first === last) {
    remember(cache.byDay, day, first);
    return first;
  }
  // Offsets change on whole quarter hours everywhere since 1970, so a quarter of an hour has one offset.
  const quarter = Math.floor(at / (HOUR_MS / 4));
  const known = cache.byQuarterHour.get(quarter);
  if (known !== undefined) return known;
  const offset = computeOffset(quarter * (HOUR_MS / 4), zone);
  remember(cache.byQuarterHour, quarter, offset);
  return offset;
}

type OffsetCache = { byDay: Map<number, number>; byQuarterHour: Map<number, number> };
const caches = new Map<TimeZone, OffsetCache>();

function offsetsOf(zone: TimeZone): OffsetCache {
  const known = caches.get(zone);
  if (known) return known;
  const created = { byDay: new Map<number, number>(), byQuarterHour: new Map<number, number>() };
  caches.set(zone, created);
  return created;
}

function remember(map: Map<number, number>, key: number, value: number): void {
  if (map.size > 50_000) map.clear();
  map.set(key, value);
}

function computeOffset(at: Instant, zone: TimeZone): number {
  const zoned = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone);
  return zoned.offsetNanoseconds / 1e6;
}
