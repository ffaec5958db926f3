import { describe, expect, it } from "vitest";
import { chanceOfAtLeast, limitChecks } from "@/lib/rank/limits";
import { defaultSettings } from "@/lib/settings/settings";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeEvent } from "@/tests/fixtures/records";

describe("the chance of meeting a false-alarm limit by luck", () => {
  // Oracle: 1 - exp(-m)(1 + m + ...) worked out by hand with m = rate x time, to the digits shown.
  it.each([
    [0.02, 4.97e-5, 1.31e-6],
    [0.05, 3.07e-4, 2.01e-5],
    [0.1, 1.21e-3, 1.55e-4],
    [0.3, 1.02e-2, 3.6e-3],
    [1, 9.02e-2, 8.03e-2],
  ])("at %f a year: two in six months and three in twelve", (perYear, two, three) => {
    expect(chanceOfAtLeast(2, { perYear, years: 0.5 }) / two).toBeCloseTo(1, 2);
    expect(chanceOfAtLeast(3, { perYear, years: 1 }) / three).toBeCloseTo(1, 2);
  });
});

describe("the limits of a site", () => {
  const asOf = at("2026-01-01");
  const checks = (alarms: number, onSystem: number) => {
    const events = Array.from({ length: alarms }, (_, index) =>
      makeEvent({ condition: "fire", began: `2025-${String(index + 1).padStart(2, "0")}-10T10:00:00Z` }),
    );
    const { detectors } = makeHistory({ asOf, records: { events } });
    return limitChecks(detectors, { onSystem, asOf, settings: defaultSettings() });
  };

  it("judges a system of 40 detectors by count and one of 41 by rate", () => {
    expect(checks(3, 40).at(-1)).toMatchObject({ met: true, threshold: "3 or more" });
    // 2 of 41 is 4.9 per 100, 3 of 41 is 7.3.
    expect(checks(2, 41).at(-1)).toMatchObject({ met: false, threshold: "more than 5" });
    expect(checks(3, 41).at(-1)).toMatchObject({ met: true });
  });

  it("asks for more than 1 per 25, not for exactly 1 per 25", () => {
    expect(checks(1, 25)[0]).toMatchObject({ met: false });
    expect(checks(1, 24)[0]).toMatchObject({ met: true });
  });
});
