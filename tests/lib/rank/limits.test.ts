import { describe, expect, it } from "vitest";
import { chanceOfAtLeast, limitChecks } from "@/lib/rank/limits";
import type { Verdict } from "@/lib/records/vocabulary";
import { defaultSettings } from "@/lib/settings/settings";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent } from "@/tests/fixtures/records";

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

  const ofOne = (dates: readonly string[], verdict: Verdict = "unwanted") => {
    const events = dates.map((date) => makeEvent({ condition: "fire", verdict, began: `${date}T10:00:00Z` }));
    const { detectors } = makeHistory({ asOf, records: { events } });
    return limitChecks(detectors, { onSystem: 100, asOf, settings: defaultSettings() });
  };

  it("looks at one detector with two in half a year, not with one or with two further apart", () => {
    expect(ofOne(["2025-08-01", "2025-12-01"])[1]).toMatchObject({ met: true, observed: "2 from one detector" });
    expect(ofOne(["2025-12-01"])[1]).toMatchObject({ met: false });
    expect(ofOne(["2025-05-01", "2025-12-01"])[1]).toMatchObject({ met: false });
  });

  it("investigates one detector with three in twelve months, and not with three in thirteen", () => {
    expect(ofOne(["2025-01-02", "2025-06-01", "2025-12-01"])[2]).toMatchObject({ met: true });
    expect(ofOne(["2024-12-01", "2025-06-01", "2025-12-01"])[2]).toMatchObject({ met: false });
  });

  it("leaves good intent out of the look at one detector, and counts it in the rates", () => {
    const wellMeant = ofOne(["2025-08-01", "2025-09-01", "2025-10-01", "2025-11-01", "2025-12-01"], "good_intent");
    expect(wellMeant[1]).toMatchObject({ met: false, observed: "0 from one detector" });
    expect(wellMeant[0]).toMatchObject({ met: true, observed: "5 per 100 detectors a year" });
    expect(wellMeant[2]).toMatchObject({ met: true });
  });

  it("counts neither a genuine fire nor one that nobody judged", () => {
    for (const verdict of ["genuine", "unknown"] as const) {
      const checks = ofOne(["2025-08-01", "2025-10-01", "2025-12-01"], verdict);
      expect(checks.map(({ met }) => met)).toEqual([false, false, false, false]);
    }
  });

  it("gives the chance that any of the site's detectors meets a limit by luck", () => {
    // At 2 per 100 a year one detector has two in half a year with 4.97e-5 (above), one of three with 1.49e-4.
    const three = ["A", "B", "C"].map((detectorId) => makeDetector({ detectorId }));
    const { detectors } = makeHistory({ asOf, records: { detectors: three } });
    const [, look] = limitChecks(detectors, { onSystem: 100, asOf, settings: defaultSettings() });
    expect((look?.chance ?? 0) / 1.49e-4).toBeCloseTo(1, 2);
  });
});
