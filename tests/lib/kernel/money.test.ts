import { describe, expect, it } from "vitest";
import { formatMoney, majorOf, minorOf, minorPerMajor, roundMinor } from "@/lib/kernel/money";

describe("money", () => {
  it("has the minor units of its currency", () => {
    // ISO 4217: two decimals for EUR, none for JPY, three for KWD.
    expect(["EUR", "JPY", "KWD"].map(minorPerMajor)).toEqual([100, 1, 1000]);
    expect(majorOf(123_456, "EUR")).toBe(1234.56);
    expect(minorOf(1234.56, "EUR")).toBe(123_456);
  });

  it("rounds halves away from zero and never to minus nought", () => {
    expect([0.5, 1.5, -0.5, -1.5].map(roundMinor)).toEqual([1, 2, -1, -2]);
    expect(Object.is(roundMinor(-0.2), 0)).toBe(true);
    expect(() => roundMinor(Number.POSITIVE_INFINITY)).toThrow(RangeError);
  });

  it("is written as the reader's locale writes it", () => {
    expect(formatMoney({ minor: 123_456, currency: "EUR" }, { locale: "en-GB" })).toBe("€1,234.56");
    expect(formatMoney({ minor: 123_456, currency: "EUR" }, { locale: "de-DE", whole: true })).toBe("1.235\u00a0€");
  });
});
