import { offsetMsAt, type TimeZone } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";

const MINUS = 0x2d;
const PLUS = 0x2b;
const COLON = 0x3a;
const DOT = 0x2e;
const BLANK = 0x20;
const LETTER_T = 0x54;
const LETTER_Z = 0x5a;
const FIRST_YEAR = 1971;
const LAST_YEAR = 2199;
const LATEST_OFFSET_MIN = 14 * 60;
const NO_TIME = -1;

/**
 * Reads moments from bytes: `2026-03-09T14:05`, with or without seconds, up to three decimals, and an offset.
 *
 * Without an offset it is wall time of a zone, read only on days around which the clock is not changed. What it is not
 * sure of it leaves: {@link read} then gives -1.
 */
export class PlainMoments {
  /** Instant of the moment that {@link read} found. */
  at = 0;
  private dateNumber = -1;
  private dayAt = 0;
  private readonly zones = new Map<TimeZone, Map<number, number>>();

  /** Reads the moment at `from`; the place behind it, or -1 when it is not plain. */
  read(bytes: Uint8Array, from: number, zone: TimeZone): number {
    const date = this.dayOf(bytes, from);
    const between = bytes[from + 10];
    if (date === NO_TIME || (between !== LETTER_T && between !== BLANK) || bytes[from + 13] !== COLON) return NO_TIME;
    const hour = twoDigits(bytes, from + 11);
    const minute = twoDigits(bytes, from + 14);
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59) return NO_TIME;
    let next = from + 16;
    let msOfDay = (hour * 60 + minute) * 60_000;
    if (bytes[next] === COLON) {
      const second = twoDigits(bytes, next + 1);
      if (second < 0 || second > 59) return NO_TIME;
      msOfDay += second * 1000;
      next += 3;
      if (bytes[next] === DOT) {
        let weight = 100;
        for (next += 1; isDigit(bytes[next]); next += 1) {
          msOfDay += ((bytes[next] ?? 0) - 48) * weight;
          weight = weight === 100 ? 10 : weight === 10 ? 1 : NO_TIME;
          if (weight === NO_TIME && isDigit(bytes[next + 1])) return NO_TIME;
        }
        if (weight === 100) return NO_TIME;
      }
    }
    return this.finish(bytes, next, { dayAt: date, msOfDay, zone });
  }

  private finish(
    bytes: Uint8Array,
    next: number,
    { dayAt, msOfDay, zone }: { dayAt: number; msOfDay: number; zone: TimeZone },
  ): number {
    const sign = bytes[next];
    if (sign === LETTER_Z) {
      this.at = dayAt + msOfDay;
      return next + 1;
    }
    if (sign === PLUS || sign === MINUS) {
      if (bytes[next + 3] !== COLON) return NO_TIME;
      const hours = twoDigits(bytes, next + 1);
      const minutes = twoDigits(bytes, next + 4);
      const offsetMin = hours * 60 + minutes;
      if (hours < 0 || minutes < 0 || minutes > 59 || offsetMin > LATEST_OFFSET_MIN) return NO_TIME;
      this.at = dayAt + msOfDay - (sign === PLUS ? offsetMin : -offsetMin) * 60_000;
      return next + 6;
    }
    const offset = this.offsetOn(dayAt, zone);
    if (Number.isNaN(offset)) return NO_TIME;
    this.at = dayAt + msOfDay - offset;
    return next;
  }

  /** Instant at which the day of the date at `from` begins in UTC; -1 when it is none. */
  private dayOf(bytes: Uint8Array, from: number): number {
    const century = twoDigits(bytes, from);
    const ofCentury = twoDigits(bytes, from + 2);
    const month = twoDigits(bytes, from + 5);
    const day = twoDigits(bytes, from + 8);
    if (century < 0 || ofCentury < 0 || bytes[from + 4] !== MINUS || bytes[from + 7] !== MINUS) return NO_TIME;
    const year = century * 100 + ofCentury;
    const dateNumber = (year * 100 + month) * 100 + day;
    if (dateNumber === this.dateNumber) return this.dayAt;
    if (year < FIRST_YEAR || year > LAST_YEAR || month < 1 || month > 12 || day < 1) return NO_TIME;
    if (day > daysIn(year, month)) return NO_TIME;
    this.dateNumber = dateNumber;
    this.dayAt = Date.UTC(year, month - 1, day);
    return this.dayAt;
  }

  /** The one offset of a zone on a local day, the day before it and the day after; NaN when there are several. */
  private offsetOn(dayAt: number, zone: TimeZone): number {
    let days = this.zones.get(zone);
    if (!days) {
      days = new Map();
      this.zones.set(zone, days);
    }
    const known = days.get(dayAt);
    if (known !== undefined) return known;
    const offset = offsetMsAt(dayAt - DAY_MS, zone);
    const others = [dayAt - 1, dayAt + DAY_MS, dayAt + 2 * DAY_MS - 1];
    const steady = others.every((at) => offsetMsAt(at, zone) === offset);
    days.set(dayAt, steady ? offset : Number.NaN);
    return steady ? offset : Number.NaN;
  }
}

function twoDigits(bytes: Uint8Array, at: number): number {
  const tens = (bytes[at] ?? 0) - 48;
  const ones = (bytes[at + 1] ?? 0) - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1_000_000;
}

function isDigit(byte: number | undefined): boolean {
  return byte !== undefined && byte >= 48 && byte <= 57;
}

const monthDays = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

function daysIn(year: number, month: number): number {
  const leap = month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return leap ? 29 : (monthDays[month - 1] ?? 0);
}
