import type { CalendarOrder } from "@/lib/import/mapping/mapping";
import { isWeekday, monthOfName } from "@/lib/import/mapping/month-names";
import { isLocalDate } from "@/lib/kernel/time";

/** Two-digit years up to this one are of this century, later ones of the last. Source: POSIX, strptime, %y. */
export const LAST_SHORT_YEAR = 68;
/** Years a foreign date may name; one outside them is a slip of the hand. */
export const YEARS = { first: 1900, last: 2199 } as const;

/** A day and the text behind it; or in words why there is none, `shaped` when it looks like a date but is none. */
export type DateResult =
  | { readonly ok: true; readonly date: string; readonly rest: string; readonly fourDigitYear: boolean }
  | { readonly ok: false; readonly shaped: boolean; readonly reason: string };

/** How messages name the orders. */
export const orderWords: Readonly<Record<CalendarOrder, string>> = {
  year_first: "year first",
  day_first: "day first",
  month_first: "month first",
};

const numeric = /^(\d{1,4}) ?([./-]| ) ?(\d{1,2}) ?\2 ?(\d{4}|\d{1,2})(?!\d)\.?/;
const compact = /^(\d{8})(?=$|[t ]|\d{4}(?:\d\d)?(?!\d))/;
const ordinal = "(?:st|nd|rd|th|er|º|ª|°)?";
const of = "(?:(?:de|of|del) |d['’] ?)?";
const dayThenName = new RegExp(
  `^(\\d{1,4})${ordinal}[-./ ]{0,2}${of}(\\p{L}[\\p{L}\\p{M}]*)\\.?,?[-./ ]{0,2}${of}(\\d{4}|\\d{1,2})(?!\\d)\\.?`,
  "u",
);
const nameThenDay = new RegExp(
  `^(\\p{L}[\\p{L}\\p{M}]*)\\.?[-./ ]{0,2}(\\d{1,2})${ordinal}(?:, ?|[-./ ]{1,2})(\\d{4}|\\d{2})(?!\\d|[-./]\\d)`,
  "u",
);
// An id such as P1-1-05 is no Sunday in Estonian: a weekday has two letters and stands apart from the date.
const leadingWord = /^(\p{L}[\p{L}\p{M}-]+)(?:[.,]+ *| +)(?:den )?/u;

/**
 * Reads the date a text begins with. `text` is in small letters with single blanks.
 *
 * A year of four digits that stands first is a year whatever the order is; a month's name leaves no doubt of the month.
 * Everything else is read in the order given. The name of a weekday before the date is passed over.
 */
export function readDate(text: string, order: CalendarOrder): DateResult {
  const result = readDateAt(text, order);
  if (result.ok) return result;
  const word = leadingWord.exec(text);
  if (!word || !isWeekday(word[1] ?? "")) return result;
  return readDateAt(text.slice(word[0].length), order);
}

function readDateAt(text: string, order: CalendarOrder): DateResult {
  const byNumbers = numeric.exec(text);
  if (byNumbers) {
    const [whole, first = "", sign = "", second = "", third = ""] = byNumbers;
    // `09.03. 14` is a date without a year and an hour; with blanks between, only four digits are surely the year.
    if (sign !== " " && whole.includes(" ") && third.length !== 4 && first.length !== 4) return no(true, "has no year");
    return dayOf(inOrder([first, second, third], order), text.slice(whole.length), order);
  }
  const packed = compact.exec(text);
  if (packed) return readCompact(packed[1] ?? "", text.slice(8), order);
  return readNamed(text, order);
}

/** Year, month and day as texts; a first part of three or four digits is the year in every order. */
function inOrder([first, second, third]: readonly [string, string, string], order: CalendarOrder): DayTexts {
  if (first.length > 2) return { year: first, month: second, day: third };
  if (order === "year_first") return { year: first, month: second, day: third };
  return order === "day_first"
    ? { year: third, month: second, day: first }
    : { year: third, month: first, day: second };
}

/** Eight digits: year, month and day, or with the year last; years of 1900 on make that certain. */
function readCompact(digits: string, rest: string, order: CalendarOrder): DateResult {
  const yearFirst = dayOf({ year: digits.slice(0, 4), month: digits.slice(4, 6), day: digits.slice(6) }, rest, order);
  if (yearFirst.ok || order === "year_first") return yearFirst;
  return dayOf(inOrder([digits.slice(0, 2), digits.slice(2, 4), digits.slice(4)], order), rest, order);
}

function readNamed(text: string, order: CalendarOrder): DateResult {
  const dayFirst = dayThenName.exec(text);
  if (dayFirst) {
    const [whole, first = "", name = "", last = ""] = dayFirst;
    const month = monthOfName(name);
    if (month === null) return no(true, `names '${name}', which is no month it knows`);
    const yearLeads = first.length > 2 || (last.length <= 2 && order === "year_first");
    const [year, day] = yearLeads ? [first, last] : [last, first];
    return dayOf({ year, month: String(month), day }, text.slice(whole.length), order);
  }
  const nameFirst = nameThenDay.exec(text);
  const month = nameFirst ? monthOfName(nameFirst[1] ?? "") : null;
  if (!nameFirst || month === null) return no(false, "is not a date");
  const [whole, , day = "", year = ""] = nameFirst;
  return dayOf({ year, month: String(month), day }, text.slice(whole.length), order);
}

type DayTexts = { readonly year: string; readonly month: string; readonly day: string };

function dayOf({ year, month, day }: DayTexts, rest: string, order: CalendarOrder): DateResult {
  if (year.length !== 2 && year.length !== 4) return no(true, `has a year of ${year.length} digits`);
  if (day.length > 2) return no(true, `is no date written ${orderWords[order]}`);
  const short = Number(year);
  const full = year.length === 4 ? short : short <= LAST_SHORT_YEAR ? 2000 + short : 1900 + short;
  const date = `${full}-${month.padStart(2, "0")}-${day.padStart(2, "0")}`;
  if (full < YEARS.first || full > YEARS.last || !isLocalDate(date)) {
    return no(true, `names a day that does not exist when it is read ${orderWords[order]}; check day and month`);
  }
  return { ok: true, date, rest, fourDigitYear: year.length === 4 };
}

function no(shaped: boolean, reason: string): DateResult {
  return { ok: false, shaped, reason };
}
