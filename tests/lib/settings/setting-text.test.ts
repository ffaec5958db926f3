import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { minorOf } from "@/lib/kernel/money";
import { settingText, typedSetting, unitText } from "@/lib/settings/setting-text";
import { definitionOf, settingKeys } from "@/lib/settings/settings";

const perFault = definitionOf("perFaultEpisode");
const euro = { currency: "EUR" };

describe("a setting as typed", () => {
  it("money is typed in major units and held in minor ones", () => {
    expect(typedSetting(perFault, "385", euro)).toEqual({ ok: true, value: 38_500 });
    expect(typedSetting(perFault, "1 234,50", euro)).toEqual({ ok: true, value: 123_450 });
    expect(typedSetting(perFault, "385", { currency: "JPY" })).toEqual({ ok: true, value: 385 });
  });

  it("a share is typed in percent", () => {
    expect(typedSetting(definitionOf("falseDiscoveryLimit"), "5", euro)).toEqual({ ok: true, value: 0.05 });
    expect(unitText("share", euro)).toBe("%");
  });

  it.each([
    ["", "is empty"],
    ["abc", "is not a number"],
    ["1e3", "is not a number"],
    ["1,234", "could be thousands"],
    ["1,234.50", "separator of thousands"],
    ["1,234,567", "separator of thousands"],
    ["1.005", "more decimals than EUR"],
    ["-1", "must be from 0.00 to 10000000.00 EUR"],
  ])("%j is answered with what is wrong", (text, problem) => {
    const typed = typedSetting(perFault, text, euro);
    expect(typed.ok).toBe(false);
    if (!typed.ok) expect(typed.problem).toContain(problem);
  });

  it("a count has no decimals", () => {
    const typed = typedSetting(definitionOf("smallSystemDetectors"), "40.5", euro);
    expect(typed).toEqual({ ok: false, problem: "must be a whole number" });
  });

  it("the text of every default reads back as the default", () => {
    for (const key of settingKeys) {
      const definition = definitionOf(key);
      const text = settingText(definition, definition.default, euro);
      expect(typedSetting(definition, text, euro), key).toEqual({ ok: true, value: definition.default });
    }
  });

  it("any amount of whole minor units survives being shown and typed again", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 1_000_000_000 }),
        fc.constantFrom("EUR", "JPY", "KWD"),
        (minor, currency) => {
          const text = settingText(perFault, minor, { currency });
          expect(typedSetting(perFault, text, { currency })).toEqual({ ok: true, value: minor });
          expect(minorOf(Number(text), currency)).toBe(minor);
        },
      ),
    );
  });
});
