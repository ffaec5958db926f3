import { DAY_MS } from "@/lib/kernel/units";

/** A time of day and its offset; `nextDay` for 24:00, which is 00:00 of the day after (ISO 8601). */
export type TimeResult =
  | {
      readonly ok: true;
      readonly msOfDay: number;
      readonly fraction: string;
      readonly offset: string | null;
      readonly nextDay: boolean;
    }
  | { readonly ok: false; readonly reason: string };

const separated = /^(\d{1,2}) ?[:.h] ?(\d{2})(?: ?(?:[:.m']|min) ?(\d{2})(?: ?s)?(?:[.,](\d{1,9}))?)?(?!\d)/;
const joined = /^(\d{2})(\d{2})(?:(\d{2})(?:[.,](\d{1,9}))?)?(?!\d)/;
const halfOfDay = /^ ?(?:([ap])\.? ?m\.?)(?![\p{L}\d])/u;
const hourWord = /^ ?(?:h|hrs|uhr|uur)\.?(?![\p{L}\d])/u;
const offsetText = /^ ?(?:(z)|(?:utc|gmt)?([+-]\d{1,2})(?::?(\d{2}))?|(utc|gmt))(?: ?\[[\w/+-]+\])?$/;

/**
 * Reads a time of day that makes up a whole text in small letters with single blanks: hours and minutes, then seconds and
 * their fraction if sent, am or pm, and an offset. Four or six digits without a sign between them only where `mayBeJoined`.
 */
export function readTimeOfDay(text: string, { mayBeJoined }: { mayBeJoined: boolean }): TimeResult {
  const start = readClock(text, mayBeJoined);
  if (!start.ok) return start;
  if (start.rest === "") return { ...start, offset: null };
  const zone = offsetText.exec(start.rest);
  if (!zone) return no(`has '${start.rest.trim()}' behind the time; send an offset such as +02:00, or none`);
  const [, , hours, minutes = "00"] = zone;
  const offset = hours === undefined ? "Z" : `${hours[0]}${hours.slice(1).padStart(2, "0")}:${minutes}`;
  return { ...start, offset };
}

/** A clock time at the start of a text, and the text behind it. */
export function readClock(
  text: string,
  mayBeJoined: boolean,
):
  | {
      readonly ok: true;
      readonly msOfDay: number;
      readonly fraction: string;
      readonly nextDay: boolean;
      readonly rest: string;
    }
  | { readonly ok: false; readonly reason: string } {
  const parts = separated.exec(text) ?? (mayBeJoined ? joined.exec(text) : null);
  if (!parts) return no("has no time of day; send hours and minutes, such as 14:05");
  const [whole, hourText = "", minuteText = "", secondText = "0", fraction = ""] = parts;
  let rest = text.slice(whole.length);
  let hour = Number(hourText);
  const [minute, second] = [Number(minuteText), Number(secondText)];
  const half = halfOfDay.exec(rest);
  if (half) {
    if (hour < 1 || hour > 12) return no(`names hour ${hour} with ${half[1]}m; hours of half a day are 1 to 12`);
    hour = (hour % 12) + (half[1] === "p" ? 12 : 0);
    rest = rest.slice(half[0].length);
  } else {
    const word = hourWord.exec(rest);
    if (word) rest = rest.slice(word[0].length);
  }
  const ms = ((hour * 60 + minute) * 60 + second) * 1000;
  const midnight = ms === DAY_MS && minute === 0 && second === 0 && /^0*$/.test(fraction);
  if ((hour > 23 && !midnight) || minute > 59 || second > 59) return no("names a time of day that does not exist");
  return { ok: true, msOfDay: midnight ? 0 : ms, fraction: midnight ? "" : fraction, nextDay: midnight, rest };
}

function no(reason: string): { readonly ok: false; readonly reason: string } {
  return { ok: false, reason };
}
