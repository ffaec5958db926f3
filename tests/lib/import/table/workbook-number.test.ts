import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { formatKind } from "@/lib/import/table/number-format";
import { workbookNumber } from "@/lib/import/table/workbook-number";

const DAY_MS = 86_400_000;

describe("a number of a workbook", () => {
  // Day numbers: ECMA-376 part 1, 18.17.4.1 gives 1 January 1900 as 1 and 1904's calendar 1,462 days later.
  it.each([
    ["95.200000000000003", "number", false, "95.2"],
    ["9.9999999999999995E-8", "number", false, "0.0000001"],
    ["12345678901234567", "number", false, "12345678901234567"],
    ["0.95199999999999996", "percent", false, "95.2%"],
    ["1", "date", false, "1900-01-01"],
    ["59", "date", false, "1900-02-28"],
    ["60", "date", false, "1900-02-29"],
    ["61", "date", false, "1900-03-01"],
    ["45000", "date", false, "2023-03-15"],
    ["43538", "date", true, "2023-03-15"],
    ["45000", "moment", false, "2023-03-15T00:00:00"],
    ["45000.270833333336", "date", false, "2023-03-15T06:30:00"],
    ["45000.999999", "moment", false, "2023-03-16T00:00:00"],
    ["0.270833333333333", "time", false, "06:30:00"],
    ["45000.5", "time", false, "2023-03-15T12:00:00"],
    ["1.5", "elapsed", false, "36:00:00"],
    ["-3", "date", false, "-3"],
    ["1e9", "date", false, "1000000000"],
    ["0", "date", false, "0"],
  ] as const)("%s as %s (from 1904: %s) is %s", (raw, kind, from1904, text) => {
    expect(workbookNumber(raw, { kind, from1904 })).toBe(text);
  });

  it.each(["", "abc", "NaN", "Infinity", "0x10", "1,5"])("is none when it says %j", (raw) => {
    expect(workbookNumber(raw, { kind: "number", from1904: false })).toBeNull();
  });

  it("gives back the wall time of every second of the calendar", () => {
    const second = fc.integer({ min: Date.UTC(1900, 2, 1) / 1_000, max: Date.UTC(9999, 11, 31) / 1_000 });
    fc.assert(
      fc.property(second, (moment) => {
        const day = (moment * 1_000 - Date.UTC(1899, 11, 30)) / DAY_MS;
        const expected = new Date(moment * 1_000).toISOString().slice(0, 19);
        expect(workbookNumber(String(day), { kind: "moment", from1904: false })).toBe(expected);
      }),
    );
  });
});

describe("a number format", () => {
  it.each([
    [0, null, "number"],
    [10, null, "percent"],
    [14, null, "date"],
    [22, null, "moment"],
    [46, null, "elapsed"],
    [164, "dd.mm.yyyy hh:mm", "moment"],
    [164, "[$-407]dddd, d. mmmm yyyy", "date"],
    [164, "[h]:mm", "elapsed"],
    [164, "h:mm AM/PM", "time"],
    [164, "mmm", "date"],
    [164, '0.0" days"', "number"],
    [164, "0.00\\ %", "percent"],
    [164, '0.0"%"', "number"],
    [164, "[Red]-#,##0.00;General", "number"],
    [164, "General", "number"],
  ] as const)("%s %j shows a %s", (id, code, kind) => {
    expect(formatKind(id, code)).toBe(kind);
  });
});
