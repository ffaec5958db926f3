import { describe, expect, it } from "vitest";
import { formatOf } from "@/app/_parts/format";

const british = formatOf({ locale: "en-GB", currency: "EUR" });
const german = formatOf({ locale: "de-DE", currency: "EUR" });
const plain = (text: string) => text.replaceAll(/[\u00a0\u202f]/g, " ");

describe("numbers, dates and money as the reader writes them", () => {
  it("follow the locale", () => {
    expect(british.number(12345.67, { digits: 1 })).toBe("12,345.7");
    expect(german.number(12345.67, { digits: 1 })).toBe("12.345,7");
    expect(plain(german.money(123_456))).toBe("1.235 €");
    expect(british.money(123_456)).toBe("€1,235");
  });

  it("never write a negative zero", () => {
    expect(british.number(-0)).toBe("0");
    expect(british.money(-0.2)).toBe("€0");
  });

  it("write estimates of money to three figures", () => {
    expect(british.moneyAbout(5_738_312)).toBe("€57,400");
  });

  it("show a moment in the site's zone, by name", () => {
    // 30 June 2026 21:00 UTC is midnight of 1 July in Helsinki, three hours ahead in summer.
    expect(british.moment(Date.UTC(2026, 5, 30, 21), "Europe/Helsinki")).toMatch(/^1 Jul 2026, 00:00 (EEST|GMT\+3)$/);
  });

  it("give the day of a fraction of the year", () => {
    expect(british.dayOfYear(0)).toBe("1 January");
    expect(british.dayOfYear(0.9999)).toBe("31 December");
  });
});
