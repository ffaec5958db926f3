import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { numberUnits } from "@/lib/import/mapping/mapping";
import { readNumber, readValue } from "@/lib/import/mapping/numbers";
import { formOfColumn, unitsOf } from "@/lib/import/mapping/units";
import { columnsOf, fileKinds } from "@/lib/records/files";

const read = (text: string, decimal: "point" | "comma" = "point") => {
  const result = readNumber(text, { decimal, unit: "number" });
  return result.ok ? result.digits : null;
};

describe("numbers as people and panels write them", () => {
  it("reads any number, with any marks, back to the same digits", () => {
    const number = fc.record({
      whole: fc.nat(9_999_999),
      fraction: fc.option(fc.stringMatching(/^\d{1,4}$/), { nil: "" }),
      sign: fc.constantFrom("", "-", "+", "\u2212"),
      decimal: fc.constantFrom("point", "comma"),
      mark: fc.constantFrom("", "other", "'", "\u2019", " ", "\u00a0", "\u202f"),
      unit: fc.constantFrom("", "%", " %"),
    });
    fc.assert(
      fc.property(number, ({ whole, fraction, sign, decimal, mark, unit }) => {
        const between = mark === "other" ? (decimal === "point" ? "," : ".") : mark;
        const grouped = String(whole).replace(/\B(?=(\d{3})+$)/g, between);
        const text = `${sign}${grouped}${fraction === "" ? "" : (decimal === "point" ? "." : ",") + fraction}${unit}`;
        const minus = sign === "-" || sign === "\u2212" ? "-" : "";
        expect(readNumber(text, { decimal, unit: "percent" })).toEqual({
          ok: true,
          digits: `${minus}${whole}${fraction === "" ? "" : `.${fraction}`}`,
        });
      }),
      { numRuns: 3_000 },
    );
  });

  it.each([
    ["9.73E+01", "97.3"],
    ["1e-3", "0.001"],
    [".5", ".5"],
    ["007", "007"],
    ["98.10", "98.10"],
  ])("keeps the digits of %s", (text, digits) => {
    expect(read(text)).toBe(digits);
  });

  it.each([
    "1,23",
    "0,123",
    "12,34,567",
    "1.2.3",
    "1,234,56",
    "",
    ".",
    "-",
    "1 23",
    "12a",
    "NaN",
    "Infinity",
    "5e400",
    "0x10",
  ])("refuses %s with a decimal point", (text) => {
    expect(read(text)).toBeNull();
  });

  it("refuses a unit that is not the column's", () => {
    expect(readNumber("1.87 dB", { decimal: "point", unit: "percent" })).toMatchObject({
      ok: false,
      reason: expect.stringContaining("says 'dB'"),
    });
    expect(readNumber("1.87 dB", { decimal: "point", unit: "decibel" })).toEqual({ ok: true, digits: "1.87" });
  });

  it("never throws, whatever stands in a cell", () => {
    const pieces = fc.array(
      fc.constantFrom("1", "23", "456", ".", ",", " ", "'", "-", "+", "e", "%", "dB", "9".repeat(50)),
    );
    const text = fc.oneof(
      fc.string({ unit: "binary", maxLength: 90 }),
      pieces.map((all) => all.join("")),
    );
    fc.assert(
      fc.property(text, fc.constantFrom("point", "comma"), fc.constantFrom(...numberUnits), (cell, decimal, unit) => {
        const result = readValue(cell, decimal, { column: "signal_pct", unit, fullScale: 1_000 });
        if (result.ok) expect(result.digits).toMatch(/^-?(\d+(\.\d*)?|\.\d+)$/);
      }),
      { numRuns: 1_500 },
    );
  });
});

describe("units", () => {
  // dB and obscuration: A = -10 log10(1 - O/100); the table of the trade gives 35 % as 1.871 dB, 50 % as 3.010 dB,
  // 0.5 dB as 10.87 % and 6 dB as 74.88 %. Foot 0.3048 m and Fahrenheit (F - 32) / 1.8: SI Brochure and NIST SP 811.
  it.each([
    ["signal_pct", "decibel", "1.871", 64.99, 0.01],
    ["signal_pct", "decibel", "3.010", 50, 0.01],
    ["signal_pct", "decibel", "0.5", 89.13, 0.01],
    ["signal_pct", "decibel_gain", "-3.010", 50, 0.01],
    ["signal_pct", "obscuration_percent", "35", 65, 0],
    ["signal_pct", "share", "0.973", 97.3, 0],
    ["signal_pct", "counts", "2048", 50, 0],
    ["alarm_threshold_pct", "decibel", "1.87", 34.99, 0.01],
    ["alarm_threshold_pct", "decibel", "6", 74.88, 0.01],
    ["temperature_c", "fahrenheit", "212", 100, 0],
    ["temperature_c", "fahrenheit", "-40", -40, 0],
    ["path_length_m", "foot", "100", 30.48, 0],
    ["minutes", "hour", "1.5", 90, 0],
  ] as const)("reads %s in %s: %s", (column, unit, text, expected, tolerance) => {
    const result = readValue(text, "point", { column, unit, fullScale: 4_096 });
    expect(result.ok).toBe(true);
    if (result.ok) expect(Math.abs(Number(result.digits) - expected)).toBeLessThanOrEqual(tolerance + 1e-9);
  });

  it("rounds what it converts to a ten-thousandth and leaves the rest as sent", () => {
    expect(readValue("1.87", "point", { column: "signal_pct", unit: "decibel" })).toEqual({
      ok: true,
      digits: "65.013",
    });
    expect(readValue("98.123456", "point", { column: "signal_pct", unit: "percent" })).toEqual({
      ok: true,
      digits: "98.123456",
    });
  });

  it("knows the units of every column that is a number, and of no other", () => {
    for (const column of fileKinds.flatMap(columnsOf)) {
      expect(unitsOf(column).length > 0, column).toBe(formOfColumn(column) === "number");
    }
  });
});
