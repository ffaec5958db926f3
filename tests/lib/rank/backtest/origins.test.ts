import { describe, expect, it } from "vitest";
import { backtestOrigins } from "@/lib/rank/backtest/origins";
import { at } from "@/tests/fixtures/records";

const records = { firstRecordAt: at("2024-01-15"), knownUntil: at("2025-10-30"), months: 12, horizonDays: 90 };
const days = (origins: readonly number[]) => origins.map((origin) => new Date(origin).toISOString());

describe("the moments past rankings are made as of", () => {
  it("are starts of months with a year of records before and a whole horizon after them", () => {
    // A year after 15 January 2024 is 14 January 2025; 90 days before 30 October is 1 August.
    expect(days(backtestOrigins(records))).toEqual(
      [2, 3, 4, 5, 6, 7, 8].map((month) => `2025-0${month}-01T00:00:00.000Z`),
    );
    expect(backtestOrigins({ ...records, knownUntil: records.knownUntil - 1 }).at(-1)).toBe(at("2025-07-01"));
  });

  it("are the last ones when more would do, and go back over the turn of a year", () => {
    const old = { ...records, firstRecordAt: at("2020-01-01"), knownUntil: at("2025-04-20"), months: 3 };
    expect(days(backtestOrigins(old)).map((day) => day.slice(0, 10))).toEqual([
      "2024-11-01",
      "2024-12-01",
      "2025-01-01",
    ]);
  });

  it("are none where records are too short", () => {
    expect(backtestOrigins({ ...records, knownUntil: at("2025-04-01") })).toEqual([]);
    expect(() => backtestOrigins({ ...records, months: 0 })).toThrow(RangeError);
  });
});
