import { describe, expect, it } from "vitest";
import { explanationText, factSentences, moneySentence, whyNot } from "@/lib/report/explanation-text";
import { makeAnalysis } from "@/tests/fixtures/analysis-result";

const { result } = makeAnalysis({ siteCount: 3, perSite: 10 });
const money = (minor: number) => `€${Math.round(minor / 100)}`;
const [best] = result.detectors;
const last = result.detectors.at(-1);
if (!best || !last) throw new Error("the fixture has detectors");
const fleet = { detectors: 30, paying: result.fleet.worthwhile.visits, money };

describe("the money of a detector", () => {
  it("stands in one sentence with its interval, the visit's cost, what it avoids and what is left", () => {
    const figures = { ...best, expectedCost: { mean: 81_200, low: 0, high: 210_000 } };
    const visit = { ...best.visit, task: "clean" as const, cost: 14_000, netBenefit: 38_000 };
    const sentence = moneySentence(
      { ...figures, visit: { ...visit, avoidedCost: { mean: 52_000, low: 0, high: 90_000 } } },
      { horizonDays: 90, money },
    );
    expect(sentence).toBe(
      "Left alone it is expected to cost €812 in 90 days (90 % interval €0 to €2100); a visit to clean it costs €140 and avoids €520 of it: a gain of €380.",
    );
  });

  it("is moved by facts with their sign and size", () => {
    expect(factSentences(best, money)[1]).toBe("reaching it takes a scissor lift: −€240");
  });
});

describe("why not this one?", () => {
  it("says of a visit that pays where it stands among those that do", () => {
    expect(whyNot(best, fleet)).toEqual([expect.stringContaining(`stands 1 of ${fleet.paying}`)]);
  });

  it("says of a visit that does not pay what is missing, and whether it would pay with someone there anyway", () => {
    const said = whyNot(last, fleet).join(" ");
    expect(said).toMatch(/does not pay: it would cost €425 and avoid €\d+/);
    expect(said).toMatch(/would pay if [\d.]+ times as many events/);
    expect(said).toMatch(/someone on site/);
  });

  it("answers for every detector, with every test that was made or could not be", () => {
    for (const { detectorId } of result.detectors) {
      const text = explanationText(result, { detectorId, asOfText: "2026-06-30" });
      for (const kind of ["rising_faults", "seasonal_alarms", "repeat_realignment", "signal_drift"]) {
        expect(text).toContain(`${kind}: `);
      }
      expect(text).toMatch(/Why (not )?this one:/);
      expect(text).toContain("replaces no statutory test");
    }
    expect(explanationText(result, { detectorId: "none", asOfText: "2026-06-30" })).toBeNull();
  });
});
