import { describe, expect, it } from "vitest";
import { rankDetectors } from "@/lib/rank/rank";
import { rankingJson } from "@/lib/report/ranking-json";
import { makeHistory } from "@/tests/fixtures/ranked";
import { rankingSchema } from "@/tests/fixtures/ranking-schema";
import { at, makeDetector } from "@/tests/fixtures/records";
import { SIMULATED_AS_OF, simulateFleet } from "@/tests/fixtures/simulated-fleet";

const fleet = simulateFleet({ seed: "json", detectors: 60, planted: "mount", every: 6 });
const result = rankDetectors(makeHistory({ asOf: SIMULATED_AS_OF, records: fleet.records, series: fleet.series }), {
  horizonDays: 90,
});
const text = rankingJson(result, { asOfText: "2026-06-30" });
const ranking = rankingSchema.parse(JSON.parse(text));

describe("the ranking JSON", () => {
  it("has exactly the agreed keys with finite numbers, and gives the as-of text back", () => {
    expect(ranking).toMatchObject({ asOf: "2026-06-30", horizonDays: 90, currency: "EUR" });
    expect(text).not.toMatch(/NaN|Infinity|undefined/);
    expect(text.endsWith("}\n")).toBe(true);
  });

  it("lists detectors in the order of their ranks, which are 1 to n, ties by id", () => {
    expect(ranking.detectors.map(({ rank }) => rank)).toEqual(ranking.detectors.map((_, index) => index + 1));
    for (const [index, one] of ranking.detectors.entries()) {
      const next = ranking.detectors[index + 1];
      if (!next) continue;
      expect(one.visit.netBenefit).toBeGreaterThanOrEqual(next.visit.netBenefit);
      if (one.visit.netBenefit === next.visit.netBenefit) expect(one.detectorId < next.detectorId).toBe(true);
    }
  });

  it("prints a net benefit that is the avoided cost less the cost, to the last digit printed", () => {
    for (const { visit } of ranking.detectors) {
      expect(Math.round(100 * (visit.avoidedCost.mean - visit.cost))).toBe(Math.round(100 * visit.netBenefit));
    }
  });

  it("lists a finding only inside the limit, with the p-value that its test has", () => {
    const findings = ranking.detectors.flatMap((one) => one.findings.map((finding) => ({ ...finding, one })));
    expect(findings.length).toBeGreaterThan(0);
    for (const { kind, pValue, qValue, effect, low, high, one } of findings) {
      expect(qValue).toBeLessThanOrEqual(0.05);
      expect(qValue).toBeGreaterThanOrEqual(pValue);
      expect(one.tested[kind]).toBe(pValue);
      if (effect !== null && low !== null) expect(low).toBeLessThanOrEqual(effect);
      if (effect !== null && high !== null) expect(high).toBeGreaterThanOrEqual(effect);
    }
  });

  it("prints null, and no p-value of 1, for each test without the data it needs", () => {
    const quiet = rankDetectors(makeHistory({ asOf: at("2025-01-01"), records: { detectors: [makeDetector()] } }), {
      horizonDays: 30,
    });
    const [only] = rankingSchema.parse(JSON.parse(rankingJson(quiet, { asOfText: "2024-12-31" }))).detectors;
    expect(only?.tested).toEqual({
      rising_faults: null,
      seasonal_alarms: null,
      repeat_realignment: null,
      signal_drift: null,
    });
    expect(only?.findings).toEqual([]);
  });
});
