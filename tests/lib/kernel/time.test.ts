import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  addDays,
  asOfInstant,
  hourOfDay,
  instantOfWallTime,
  isLocalDate,
  isTimeZone,
  localDateOf,
  monthOf,
  startOfDay,
  wallTimeOf,
  yearFraction,
} from "@/lib/kernel/time";

const zones = [
  "UTC",
  "Europe/Helsinki",
  "Europe/Lisbon",
  "America/St_Johns",
  "Pacific/Auckland",
  "Australia/Lord_Howe",
];
const wall = (date: string, hour: number, minute = 0) => {
  const [year = 0, month = 1, day = 1] = date.split("-").map(Number);
  return { year, month, day, msOfDay: (hour * 60 + minute) * 60_000 };
};

describe("wall times and instants", () => {
  it("reads a wall time in the site's zone, summer and winter", () => {
    // Helsinki is UTC+2 in winter and UTC+3 in summer (IANA tz database).
    expect(instantOfWallTime(wall("2026-01-15", 12), "Europe/Helsinki", "refuse")).toEqual({
      ok: true,
      at: Date.parse("2026-01-15T10:00:00Z"),
    });
    expect(instantOfWallTime(wall("2026-07-15", 12), "Europe/Helsinki", "refuse")).toEqual({
      ok: true,
      at: Date.parse("2026-07-15T09:00:00Z"),
    });
  });

  it("refuses a wall time that the clocks skipped", () => {
    expect(instantOfWallTime(wall("2026-03-29", 3, 30), "Europe/Helsinki", "first")).toEqual({
      ok: false,
      reason: "skipped",
    });
  });

  it("refuses a wall time that happened twice, or takes the one that is asked for", () => {
    const twice = wall("2026-10-25", 3, 30);
    expect(instantOfWallTime(twice, "Europe/Helsinki", "refuse")).toEqual({ ok: false, reason: "ambiguous" });
    expect(instantOfWallTime(twice, "Europe/Helsinki", "first")).toEqual({
      ok: true,
      at: Date.parse("2026-10-25T00:30:00Z"),
    });
    expect(instantOfWallTime(twice, "Europe/Helsinki", "second")).toEqual({
      ok: true,
      at: Date.parse("2026-10-25T01:30:00Z"),
    });
  });

  it("knows a change of half an hour", () => {
    // Lord Howe Island moves its clocks by 30 minutes; on 5 April 2026 from 02:00 back to 01:30 (IANA tz database).
    expect(instantOfWallTime(wall("2026-04-05", 1, 45), "Australia/Lord_Howe", "refuse")).toEqual({
      ok: false,
      reason: "ambiguous",
    });
    expect(instantOfWallTime(wall("2026-04-05", 1, 15), "Australia/Lord_Howe", "refuse").ok).toBe(true);
  });

  it("returns from wall time to the same instant, the second time in a fold being named", () => {
    const instants = fc.integer({ min: Date.parse("2015-01-01T00:00:00Z"), max: Date.parse("2035-01-01T00:00:00Z") });
    fc.assert(
      fc.property(instants, fc.constantFrom(...zones), (at, zone) => {
        const shown = wallTimeOf(at, zone);
        const first = instantOfWallTime(shown, zone, "first");
        const second = instantOfWallTime(shown, zone, "second");
        expect([first, second]).toContainEqual({ ok: true, at });
      }),
      { numRuns: 500 },
    );
  });
});

describe("days, months and fractions of a year", () => {
  it("cuts days and months in the site's zone", () => {
    const at = Date.parse("2025-12-31T23:30:00Z");
    expect(localDateOf(at, "Europe/Lisbon")).toBe("2025-12-31");
    expect(localDateOf(at, "Europe/Helsinki")).toBe("2026-01-01");
    expect(monthOf(at, "Europe/Helsinki")).toBe("2026-01");
    expect(hourOfDay(at, "Europe/Helsinki")).toBe(1.5);
  });

  it("begins a day at local midnight", () => {
    expect(startOfDay("2026-07-01", "Europe/Lisbon")).toBe(Date.parse("2026-06-30T23:00:00Z"));
  });

  it("gives a leap year its 366 days", () => {
    expect(yearFraction(Date.parse("2024-12-31T00:00:00Z"), "UTC")).toBeCloseTo(365 / 366, 12);
    expect(yearFraction(Date.parse("2025-12-31T00:00:00Z"), "UTC")).toBeCloseTo(364 / 365, 12);
  });

  it("knows which days exist", () => {
    expect(isLocalDate("2024-02-29")).toBe(true);
    expect(isLocalDate("2023-02-29")).toBe(false);
    expect(isLocalDate("2023-2-9")).toBe(false);
    expect(addDays("2024-02-28", 2)).toBe("2024-03-01");
  });

  it("takes names of zones and nothing else", () => {
    expect(zones.every(isTimeZone)).toBe(true);
    expect(["+02:00", "Mars/Olympus", "", "Europe/Lisbon; drop"].some(isTimeZone)).toBe(false);
  });
});

describe("the as-of moment", () => {
  it("is the end of a day in UTC, or the instant itself", () => {
    expect(asOfInstant("2026-06-30")).toBe(Date.parse("2026-07-01T00:00:00Z"));
    expect(asOfInstant("2026-06-30T12:00:00+02:00")).toBe(Date.parse("2026-06-30T10:00:00Z"));
  });

  it("is nothing for a text that is neither", () => {
    expect(["2026-13-01", "yesterday", "2026-06-30T12:00:00", "2026-02-30T00:00:00Z", ""].map(asOfInstant)).toEqual(
      Array.from({ length: 5 }, () => null),
    );
  });
});
