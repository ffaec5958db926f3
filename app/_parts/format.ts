import type { Estimate } from "@/lib/kernel/interval";
import { majorOf } from "@/lib/kernel/money";
import { DAY_MS } from "@/lib/kernel/units";

/** How one reader writes numbers, dates and money; made once for a page and handed to its parts. */
export type Format = {
  readonly locale: string;
  readonly currency: string;
  /** Number with at most `digits` decimals (default 0), always as many when `fixed`. */
  readonly number: (value: number, options?: { digits?: number; fixed?: boolean }) => string;
  /** Share of one as whole percent, or with `digits` decimals. */
  readonly share: (value: number, options?: { digits?: number }) => string;
  /** Minor units as money without decimals. */
  readonly money: (minor: number) => string;
  /** Minor units of an estimate as money to three figures, since its interval is wider than the rest. */
  readonly moneyAbout: (minor: number) => string;
  /** `low to high` of an estimate, each end written by `write`. */
  readonly range: (estimate: Estimate, write?: (value: number) => string) => string;
  /** Calendar day `YYYY-MM-DD`. */
  readonly day: (date: string) => string;
  /** Calendar month `YYYY-MM`. */
  readonly month: (month: string, options?: { short?: boolean }) => string;
  /** Name of a month of the year, 1..12. */
  readonly monthOfYear: (month: number, options?: { narrow?: boolean }) => string;
  /** Day and month at a fraction 0..1 of a year. */
  readonly dayOfYear: (fraction: number) => string;
  /** Moment in a zone, with the zone's name. */
  readonly moment: (at: number, zone: string) => string;
  /** Day of a moment in a zone, without the time. */
  readonly dayOf: (at: number, zone: string) => string;
};

/** The format of a locale and a currency. */
export function formatOf({ locale, currency }: { locale: string; currency: string }): Format {
  const number = (value: number, { digits = 0, fixed = false }: { digits?: number; fixed?: boolean } = {}) =>
    new Intl.NumberFormat(locale, {
      maximumFractionDigits: digits,
      minimumFractionDigits: fixed ? digits : 0,
    }).format(value === 0 ? 0 : value);
  const wholeMoney = new Intl.NumberFormat(locale, { style: "currency", currency, maximumFractionDigits: 0 });
  const date = (at: number, options: Intl.DateTimeFormatOptions) => new Intl.DateTimeFormat(locale, options).format(at);
  return {
    locale,
    currency,
    number,
    share: (value, { digits = 0 } = {}) =>
      new Intl.NumberFormat(locale, { style: "percent", maximumFractionDigits: digits }).format(value),
    money: (minor) => wholeMoney.format(majorOf(minor, currency)),
    moneyAbout: (minor) =>
      new Intl.NumberFormat(locale, { style: "currency", currency, maximumSignificantDigits: 3 }).format(
        majorOf(minor, currency),
      ),
    range: ({ low, high }, write = (value) => number(value, { digits: 1, fixed: true })) =>
      `${write(low)} to ${write(high)}`,
    day: (day) => date(Date.parse(`${day}T00:00:00Z`), { ...dayStyle, timeZone: "UTC" }),
    month: (month, { short = false } = {}) =>
      date(Date.parse(`${month}-01T00:00:00Z`), {
        month: short ? "short" : "long",
        year: short ? "2-digit" : "numeric",
        timeZone: "UTC",
      }),
    monthOfYear: (month, { narrow = false } = {}) =>
      date(Date.UTC(2001, month - 1, 1), { month: narrow ? "narrow" : "short", timeZone: "UTC" }),
    dayOfYear: (fraction) =>
      date(Date.UTC(2001, 0, 1) + Math.min(364, Math.floor(fraction * 365)) * DAY_MS, {
        day: "numeric",
        month: "long",
        timeZone: "UTC",
      }),
    moment: (at, zone) =>
      date(at, { ...dayStyle, hour: "2-digit", minute: "2-digit", timeZone: zone, timeZoneName: "short" }),
    dayOf: (at, zone) => date(at, { ...dayStyle, timeZone: zone }),
  };
}

const dayStyle = { day: "numeric", month: "short", year: "numeric" } as const;
