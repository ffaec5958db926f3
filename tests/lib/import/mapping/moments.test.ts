import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { calendarOrders, dateOrders } from "@/lib/import/mapping/mapping";
import { momentText, possibleReadings, readInAnyOrder, readMoment } from "@/lib/import/mapping/moments";

const days = fc.date({ min: new Date("1969-01-01"), max: new Date("2068-12-31"), noInvalidDate: true });
const two = (value: number) => String(value).padStart(2, "0");
const partsOf = (date: Date) => ({ y: date.getUTCFullYear(), m: date.getUTCMonth() + 1, d: date.getUTCDate() });
const dayOf = (text: string, order: (typeof dateOrders)[number]) => {
  const result = readMoment(text, order);
  return result.ok ? result.moment : result.reason;
};

describe("moments as people and panels write them", () => {
  it("reads any day, written in any order and style, back to the same day", () => {
    const style = fc.record({
      order: fc.constantFrom(...calendarOrders),
      sign: fc.constantFrom("/", ".", "-", " "),
      padded: fc.boolean(),
      short: fc.boolean(),
    });
    fc.assert(
      fc.property(days, style, (date, { order, sign, padded, short }) => {
        const { y, m, d } = partsOf(date);
        const year = short ? two(y % 100) : String(y);
        const [day, month] = padded ? [two(d), two(m)] : [String(d), String(m)];
        const written = {
          year_first: [year, month, day],
          day_first: [day, month, year],
          month_first: [month, day, year],
        };
        expect(dayOf(written[order].join(sign), order)).toEqual({
          date: date.toISOString().slice(0, 10),
          time: null,
          offset: null,
        });
      }),
      { numRuns: 3_000 },
    );
  });

  it("reads a month by its name in the languages of the sites, whatever the order is", () => {
    const locale = fc.constantFrom("en-GB", "en-US", "de", "fr", "es", "it", "nl", "sv", "pt", "da", "fi");
    const size = fc.constantFrom("long", "short");
    fc.assert(
      fc.property(days, locale, size, fc.constantFrom(...calendarOrders), (date, language, month, order) => {
        const text = date.toLocaleDateString(language, { day: "numeric", month, year: "numeric", timeZone: "UTC" });
        // Some languages write the short form in digits alone, which is a matter of order again.
        fc.pre(/\p{L}/u.test(text));
        expect(dayOf(text, order), `${text} (${language})`).toEqual({
          date: date.toISOString().slice(0, 10),
          time: null,
          offset: null,
        });
      }),
      { numRuns: 1_000 },
    );
  });

  it("reads what the computers of these countries write, short or long, in the country's own order", () => {
    const at = new Date("2026-03-23T14:05:09Z");
    const countries = {
      day_first: [
        "en-GB",
        "de-DE",
        "fr-FR",
        "es-ES",
        "it-IT",
        "nl-NL",
        "pt-PT",
        "pt-BR",
        "da-DK",
        "nb-NO",
        "fi-FI",
        "cs-CZ",
        "hr-HR",
      ],
      month_first: ["en-US"],
      year_first: ["sv-SE", "en-CA", "fr-CA"],
    } as const;
    for (const order of calendarOrders) {
      for (const country of countries[order]) {
        for (const dateStyle of ["short", "medium", "long", "full"] as const) {
          const text = at.toLocaleString(country, { dateStyle, timeStyle: "medium", timeZone: "UTC" });
          expect(dayOf(text, order), `${text} (${country})`).toEqual({
            date: "2026-03-23",
            time: "14:05:09",
            offset: null,
          });
        }
      }
    }
  });

  it("does not read a month whose name is another month in another language", () => {
    // `listopad` is November in Polish and Czech and October in Croatian.
    expect(dayOf("1 listopada 2026", "day_first")).toMatch(/no month it knows/);
    expect(dayOf("1 grudnia 2026", "day_first")).toMatchObject({ date: "2026-12-01" });
  });

  it("reads any time of day with 24 hours or with 12, with dots or colons", () => {
    const clock = fc.record({ h: fc.nat(23), m: fc.nat(59), s: fc.nat(59), sign: fc.constantFrom(":", ".") });
    fc.assert(
      fc.property(clock, ({ h, m, s, sign }) => {
        const time = `${two(h)}:${two(m)}:${two(s)}`;
        expect(dayOf(`09/03/2026 ${h}${sign}${two(m)}${sign}${two(s)}`, "day_first")).toMatchObject({ time });
        const half = `${h % 12 === 0 ? 12 : h % 12}:${two(m)}:${two(s)} ${h < 12 ? "a.m." : "PM"}`;
        expect(dayOf(`09/03/2026 ${half}`, "day_first")).toMatchObject({ time });
      }),
    );
  });

  it.each([
    ["2026-03-09T14:05:00+02:00", "2026-03-09", "14:05:00", "+02:00"],
    ["2026-03-09 14:05:00.1239Z", "2026-03-09", "14:05:00.123", "Z"],
    ["09.03.2026 14:05:00,5", "2026-03-09", "14:05:00.5", null],
    ["2026-03-09T08:00-09:30", "2026-03-09", "08:00:00", "-09:30"],
    ["2026-03-09 08:00:00-0930", "2026-03-09", "08:00:00", "-09:30"],
    ["20260309T1405", "2026-03-09", "14:05:00", null],
    ["20260309140500", "2026-03-09", "14:05:00", null],
    ["09032026 1405", "2026-03-09", "14:05:00", null],
    ["Mo, 09.03.2026, 14:05 Uhr", "2026-03-09", "14:05:00", null],
    ["mar. 10/03/2026 07:00", "2026-03-10", "07:00:00", null],
    ["Mon, 9 Mar 2026 14:05:00 +0200", "2026-03-09", "14:05:00", "+02:00"],
    ["March 9th, 2026 2:05 p. m.", "2026-03-09", "14:05:00", null],
    ["9 de marzo de 2026 14:05", "2026-03-09", "14:05:00", null],
    ["09MRZ2026 14:05", "2026-03-09", "14:05:00", null],
    ["14:05:33 09/03/26", "2026-03-09", "14:05:33", null],
    // ISO 8601: 24:00 is the end of a day, which is 00:00 of the next.
    ["31/12/2025 24:00", "2026-01-01", "00:00:00", null],
    ["01/07/69 08:00", "1969-07-01", "08:00:00", null],
    ["01/07/68 08:00", "2068-07-01", "08:00:00", null],
  ])("reads %s", (text, date, time, offset) => {
    expect(dayOf(text, "day_first")).toEqual({ date, time, offset });
  });

  it.each([
    ["31/02/2026 10:00", /does not exist.*day first/],
    ["13/25/2026", /does not exist/],
    ["Mar 9 14:05:33", /behind the date/],
    ["09.03. 14:05:33", /no year/],
    ["09/03/2026 14:05 CET", /'cet' behind the time/],
    ["09/03/2026 08:00-09:30", /two times/],
    ["2026-03-09 08:00-09:30", /two times/],
    ["09/03/2026-10/03/2026", /behind the date/],
    ["09/03/2026 13:05 PM", /hour 13/],
    ["09/03/2026 24:01", /time of day that does not exist/],
    ["09/03/0026 10:00", /does not exist/],
    ["1773065100", /not a date/],
    ["", /not a date/],
  ])("refuses %s in words", (text, reason) => {
    expect(dayOf(text, "day_first")).toMatch(reason);
  });

  it("reads counts since 1970 only where the mapping says so", () => {
    expect(dayOf("1773065100", "unix_seconds")).toEqual({ date: "2026-03-09", time: "14:05:00", offset: "Z" });
    expect(dayOf("1773065100250", "unix_milliseconds")).toMatchObject({ time: "14:05:00.250" });
    expect(dayOf("1773065100250", "unix_seconds")).toMatch(/not a count of seconds/);
  });

  it("names both days a date may mean, and reads one that has no doubt", () => {
    expect(readInAnyOrder("03/04/2026 10:00")).toBeNull();
    expect(possibleReadings("03/04/2026")).toBe("2026-04-03 (day first) or 2026-03-04 (month first)");
    expect(readInAnyOrder("23/04/2026 10:00")).toMatchObject({ ok: true, moment: { date: "2026-04-23" } });
  });

  it("turns wall time of a named zone into UTC, and leaves gaps and folds to an explicit choice", () => {
    const inBerlin = (time: string, fold: "refuse" | "first" | "second" = "refuse") =>
      momentText({ date: "2026-10-25", time, offset: null }, { form: "moment", zone: "Europe/Berlin", fold });
    // Clocks in Berlin went back at 01:00Z on 2026-10-25: 02:30 was 00:30Z, and an hour later again.
    expect(inBerlin("12:00:00")).toEqual({ ok: true, text: "2026-10-25T11:00:00Z" });
    expect(inBerlin("02:30:00")).toMatchObject({ ok: false });
    expect(inBerlin("02:30:00", "first")).toEqual({ ok: true, text: "2026-10-25T00:30:00Z" });
    expect(inBerlin("02:30:00", "second")).toEqual({ ok: true, text: "2026-10-25T01:30:00Z" });
    const gap = { date: "2026-03-29", time: "02:30:00", offset: null };
    expect(momentText(gap, { form: "moment", zone: "Europe/Berlin", fold: "first" })).toMatchObject({ ok: false });
  });

  it("takes a day from a midnight with an offset, but not from another time of another zone", () => {
    const day = (time: string) =>
      momentText({ date: "2019-03-11", time, offset: "Z" }, { form: "day", zone: "site", fold: "refuse" });
    expect(day("00:00:00.000")).toEqual({ ok: true, text: "2019-03-11" });
    expect(day("23:00:00")).toMatchObject({ ok: false });
  });

  it("never throws, whatever stands in a cell", () => {
    const pieces = fc.array(
      fc.constantFrom("09", "3", "2026", "/", ".", ":", " ", "T", "pm", "mar", "Z", "+02", ",", "é", "0"),
    );
    const text = fc.oneof(
      fc.string({ unit: "binary", maxLength: 60 }),
      pieces.map((all) => all.join("")),
    );
    fc.assert(
      fc.property(text, fc.constantFrom(...dateOrders), (cell, order) => {
        const result = readMoment(cell, order);
        if (result.ok) expect(result.moment.date).toMatch(/^\d{4}-\d\d-\d\d$/);
      }),
      { numRuns: 1_500 },
    );
  });

  it("takes no letter of an id for the name of a weekday", () => {
    for (const id of ["P1-1-05", "S 1-1-05", "Mo1-1-05"]) {
      expect(calendarOrders.map((order) => readMoment(id, order).ok)).toEqual([false, false, false]);
    }
    expect(readMoment("Mo, 09.03.2026 10:00", "day_first").ok).toBe(true);
  });
});
