import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { monthsInView } from "@/lib/services/months-view";
import { makeMonths } from "@/tests/fixtures/months";

/** July 2024 to June 2026. */
const months = makeMonths({ detectors: 10, chance: seededChance("months") });
const lastShown = (asOf: number, zone: string) => monthsInView(months, { asOf, zone }).at(-1)?.month;

describe("the months in view", () => {
  it("leave out a month of which only hours have passed, such as July in Helsinki at the end of June in UTC", () => {
    const withJuly = [...months, { ...months[0]!, month: "2026-07" }];
    const shown = monthsInView(withJuly, { asOf: Date.UTC(2026, 6, 1), zone: "Europe/Helsinki" });
    expect(shown.at(-1)?.month).toBe("2026-06");
    expect(shown).toHaveLength(24);
  });

  it("hold the month under way from its fifteenth day on", () => {
    expect(lastShown(Date.UTC(2026, 5, 14, 12), "UTC")).toBe("2026-05");
    expect(lastShown(Date.UTC(2026, 5, 15), "UTC")).toBe("2026-06");
  });
});
