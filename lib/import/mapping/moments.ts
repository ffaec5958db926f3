import { type DateResult, orderWords, readDate } from "@/lib/import/mapping/dates";
import { type CalendarOrder, calendarOrders, type DateOrder } from "@/lib/import/mapping/mapping";
import { readClock, readTimeOfDay } from "@/lib/import/mapping/times-of-day";
import { addDays, type FoldChoice, instantOfWallTime } from "@/lib/kernel/time";

/** A moment as it was written: its day, its time of day (null when only a day was sent), its offset (null when none was). */
export type WrittenMoment = {
  readonly date: string;
  readonly time: string | null;
  readonly offset: string | null;
};

/** A written moment, or in words why a text is none; `shaped` when it looks like a date in another order. */
export type MomentResult =
  | { readonly ok: true; readonly moment: WrittenMoment }
  | { readonly ok: false; readonly reason: string };

const plainMoment = /^([\d./-]{8,10})[T ](\d\d):(\d\d)(?::(\d\d))?$/;
const betweenLong = /^(?:t(?=\d)|[ ,:]+(?:(?:at|um|kl\.?|klo|kell|à|a las?|alle ore|alle|às|om|la|v|o|ob|u) (?=\d))?)/;
const betweenShort = /^(?:t(?=\d)|[ ,]+)/;
const knownDays = new Map<string, DateResult>();
const DAYS_KEPT = 20_000;
const LONGEST = 100;
const LAST_UNIX_SECOND = 7_258_118_399;

/** Reads a moment written in an order of year, month and day, or counted since 1970 in UTC. */
export function readMoment(text: string, order: DateOrder): MomentResult {
  if (text.length > LONGEST) return no("is too long for a time");
  if (order === "unix_seconds" || order === "unix_milliseconds") return readUnix(text, order);
  const plain = readPlain(text, order);
  if (plain) return plain;
  const tidy = tidyText(text);
  const timeFirst = /^\d{1,2}:\d{2}/.test(tidy) ? readTimeFirst(tidy, order) : null;
  if (timeFirst) return timeFirst;
  const day = readDate(tidy, order);
  if (!day.ok) return no(day.reason);
  // A colon after a year of two digits would be the one in the hour of a date without a year: `Mar 9 14:05:33`.
  const between = day.fourDigitYear ? betweenLong : betweenShort;
  const rest = day.rest.replace(between, "");
  if (rest === "") return { ok: true, moment: { date: day.date, time: null, offset: null } };
  if (rest === day.rest && !/^\d{4}(\d\d)?$/.test(rest)) return no(`has '${rest}' behind the date`);
  // `08:00-09:30` is more often a span of time than a time and its offset; ISO 8601 writes the latter behind a T.
  if (!day.rest.startsWith("t") && /^\d{1,2}[:.h]\d{2} ?-\d/.test(rest)) {
    return no("may be two times, or one and its offset; send one time, with seconds if it has an offset");
  }
  const time = readTimeOfDay(rest, { mayBeJoined: day.fourDigitYear });
  return time.ok ? { ok: true, moment: joinedMoment(day.date, time) } : no(time.reason);
}

/**
 * A written moment as a cell of ours: wall time or with its offset, a day, or a time of day.
 *
 * In a named zone the wall time is turned into UTC here, since the reader of rows only knows the site's zone.
 */
export function momentText(
  moment: WrittenMoment,
  { form, zone, fold }: { form: "moment" | "day"; zone: string; fold: FoldChoice },
): { readonly ok: true; readonly text: string } | { readonly ok: false; readonly reason: string } {
  const { date, time, offset } = moment;
  if (form === "day") {
    // A day that came as midnight somewhere else may be the day before here, and only the sender knows.
    if (offset !== null && time !== null && !/^00:00:00(\.0+)?$/.test(time)) {
      return no("has a time with an offset where a day is wanted; send the day alone");
    }
    return { ok: true, text: date };
  }
  if (time === null) return no("has no time of day; choose the column that has it as well");
  if (offset !== null || zone === "site") return { ok: true, text: `${date}T${time}${offset ?? ""}` };
  return inNamedZone(date, time, { zone, fold });
}

/** Reads a time of day alone as `HH:MM`; whole minutes only. */
export function readTimeCell(
  text: string,
): { readonly ok: true; readonly text: string } | { readonly ok: false; readonly reason: string } {
  const clock = readClock(tidyText(text), true);
  if (!clock.ok) return clock;
  if (clock.rest !== "" || clock.nextDay) return no("is not a time of day; write HH:MM, such as 07:30");
  return { ok: true, text: timeText(clock.msOfDay, "").slice(0, 5) };
}

/** The moment a text names when no order is given: that in which every possible order agrees; null when they differ. */
export function readInAnyOrder(text: string): MomentResult | null {
  const results = calendarOrders.map((order) => readMoment(text, order));
  const good = results.flatMap((result) => (result.ok ? [result] : []));
  const [first] = good;
  if (!first) return results[0] ?? no("is not a time");
  return good.every((one) => one.moment.date === first.moment.date && one.moment.time === first.moment.time)
    ? first
    : null;
}

/** How a message names the readings a date could have: `2026-03-09 (day first) or 2026-09-03 (month first)`. */
export function possibleReadings(text: string): string {
  const days = new Map<string, CalendarOrder>();
  for (const order of calendarOrders) {
    const result = readMoment(text, order);
    if (result.ok && !days.has(result.moment.date)) days.set(result.moment.date, order);
  }
  return [...days].map(([date, order]) => `${date} (${orderWords[order]})`).join(" or ");
}

/** A date in digits and the time after it, the common way of writing a moment; null for any other. */
export function splitPlain(text: string): { readonly date: string; readonly time: string } | null {
  const parts = plainMoment.exec(text);
  if (!parts) return null;
  const [, date = "", hour = "", minute = "", second = "00"] = parts;
  return hour > "23" || minute > "59" || second > "59" ? null : { date, time: `${hour}:${minute}:${second}` };
}

/** Reads the common way, its day remembered, as rows share their days; null for any other. */
function readPlain(text: string, order: CalendarOrder): MomentResult | null {
  const parts = splitPlain(text);
  if (!parts) return null;
  const { date, time } = parts;
  const key = `${order} ${date}`;
  let day = knownDays.get(key);
  if (day === undefined) {
    day = readDate(date, order);
    if (knownDays.size >= DAYS_KEPT) knownDays.clear();
    knownDays.set(key, day);
  }
  if (!day.ok) return no(day.reason);
  if (day.rest !== "") return null;
  return { ok: true, moment: { date: day.date, time, offset: null } };
}

function readTimeFirst(tidy: string, order: CalendarOrder): MomentResult | null {
  const clock = readClock(tidy, false);
  if (!clock.ok || !/^[ ,]/.test(clock.rest)) return null;
  const day = readDate(clock.rest.replace(/^[ ,]+/, ""), order);
  if (!day.ok) return no(day.reason);
  if (day.rest !== "") return no(`has '${day.rest.trim()}' behind the date`);
  return { ok: true, moment: joinedMoment(day.date, { ...clock, offset: null }) };
}

function joinedMoment(
  date: string,
  time: { msOfDay: number; fraction: string; offset: string | null; nextDay: boolean },
): WrittenMoment {
  return {
    date: time.nextDay ? addDays(date, 1) : date,
    time: timeText(time.msOfDay, time.fraction),
    offset: time.offset,
  };
}

function timeText(msOfDay: number, fraction: string): string {
  const seconds = Math.floor(msOfDay / 1000);
  const two = (value: number) => String(value).padStart(2, "0");
  const whole = `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
  return fraction === "" ? whole : `${whole}.${fraction.slice(0, 3)}`;
}

function inNamedZone(date: string, time: string, { zone, fold }: { zone: string; fold: FoldChoice }) {
  const [year = 0, month = 1, day = 1] = date.split("-").map(Number);
  const msOfDay = Date.parse(`1970-01-01T${time}Z`);
  const result = instantOfWallTime({ year, month, day, msOfDay }, zone, fold);
  if (result.ok) return { ok: true, text: new Date(result.at).toISOString().replace(/\.000Z$/, "Z") } as const;
  return result.reason === "skipped"
    ? no(`did not exist in ${zone}: the clocks went forward; send the time with its offset`)
    : no(
        `happened twice in ${zone}: the clocks went back; send it with its offset, or mark the import with the 'first' or the 'second' of the two (--fold)`,
      );
}

function readUnix(text: string, order: "unix_seconds" | "unix_milliseconds"): MomentResult {
  const parts = /^(-?\d{1,14})(?:\.(\d{1,9}))?$/.exec(text.trim());
  const [, whole = "", fraction = ""] = parts ?? [];
  const ms =
    order === "unix_seconds" ? Number(whole) * 1000 + Number(fraction.padEnd(3, "0").slice(0, 3)) : Number(whole);
  if (!parts || !(ms >= 0 && ms <= LAST_UNIX_SECOND * 1000)) {
    return no(`is not a count of ${order === "unix_seconds" ? "seconds" : "milliseconds"} since 1970`);
  }
  const iso = new Date(ms).toISOString();
  return {
    ok: true,
    moment: { date: iso.slice(0, 10), time: iso.slice(11, -1).replace(/\.000$/, ""), offset: "Z" },
  };
}

function tidyText(text: string): string {
  return text
    .normalize("NFC")
    .replace(/[\s\u00a0\u2007\u2009\u202f]+/g, " ")
    .trim()
    .toLowerCase()
    .replace(/[\u2212\u2010\u2011]/g, "-");
}

function no(reason: string): { readonly ok: false; readonly reason: string } {
  return { ok: false, reason };
}
