import { describe, expect, it } from "vitest";
import type { z } from "zod";
import {
  booleanCell,
  clockCell,
  currencyCell,
  dateCell,
  idCell,
  numberCell,
  optionalCell,
  textCell,
  wordCell,
  zoneCell,
} from "@/lib/records/cells";

const reasonOf = (cell: z.ZodType, value: unknown) => cell.safeParse(value).error?.issues[0]?.message ?? null;
const percent = numberCell({ min: 0, max: 400, unit: "%" });

describe("a cell", () => {
  it("reads plain numbers inside its range, ends included", () => {
    expect(["0", "400", " 97.5 ", "+1", ".5", "5."].map((text) => percent.parse(text))).toEqual([
      0, 400, 97.5, 1, 0.5, 5,
    ]);
  });

  it.each([
    ["-0.1", "outside 0..400 %"],
    ["400.01", "outside 0..400 %"],
    ["97,5", "not a number"],
    ["1e3", "not a number"],
    ["NaN", "not a number"],
    ["0x10", "not a number"],
    ["Infinity", "not a number"],
    ["", "is missing"],
    ["   ", "is missing"],
  ])("refuses the percentage '%s': %s", (text, reason) => {
    expect(reasonOf(percent, text)).toContain(reason);
  });

  it("refuses a broken number where a whole one is meant", () => {
    expect(reasonOf(numberCell({ min: 1, max: 9, unit: "", integer: true }), "2.5")).toContain("whole number");
  });

  it("refuses control characters, overlong text and ids of several lines", () => {
    expect(reasonOf(textCell, "a\u0000b")).toContain("control character such as NUL");
    expect(reasonOf(textCell, "x".repeat(2_001))).toContain("longer than 2000 characters");
    expect(textCell.parse("line one\nline two")).toBe("line one\nline two");
    expect(reasonOf(idCell, "line one\nline two")).toContain("is not an id");
    expect(reasonOf(idCell, "x".repeat(101))).toContain("is not an id");
  });

  it("gives null for an optional cell that is blank or whose column is absent, and still judges one that is not", () => {
    expect(optionalCell(percent).parse(" ")).toBeNull();
    expect(optionalCell(percent).parse(undefined)).toBeNull();
    expect(reasonOf(optionalCell(percent), "x")).toContain("not a number");
  });

  it("knows days, zones, currencies, times of day, words and yes or no", () => {
    expect(dateCell.parse("2024-02-29")).toBe("2024-02-29");
    expect(reasonOf(dateCell, "2023-02-29")).toContain("write YYYY-MM-DD");
    expect(zoneCell.parse("Europe/Lisbon")).toBe("Europe/Lisbon");
    expect(reasonOf(zoneCell, "+02:00")).toContain("IANA name");
    expect(reasonOf(currencyCell, "eur")).toContain("three capital letters");
    expect(reasonOf(clockCell, "24:00")).toContain("HH:MM");
    expect(reasonOf(wordCell(["ladder", "tower"]), "stairs")).toBe("is not one of: ladder, tower");
    expect(["true", "YES", "1", "false", "no", "0"].map((text) => booleanCell.parse(text))).toEqual([
      true,
      true,
      true,
      false,
      false,
      false,
    ]);
    for (const text of ["perhaps", "constructor", "__proto__"]) {
      expect(reasonOf(booleanCell, text)).toContain("not true or false");
    }
  });
});
