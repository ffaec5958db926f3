import { describe, expect, it } from "vitest";
import { kindNames } from "@/lib/analyse/findings/registry";
import { rankDetectors } from "@/lib/rank/rank";
import { rankingJson } from "@/lib/report/ranking-json";
import { defaultSettings } from "@/lib/settings/settings";
import { makeHistory, rankedJson } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeWork } from "@/tests/fixtures/records";
import { SIMULATED_AS_OF, simulateFleet } from "@/tests/fixtures/simulated-fleet";

const fleet = simulateFleet({ seed: "rank", detectors: 80, planted: "soiling", every: 8 });
const input = { asOf: SIMULATED_AS_OF, records: fleet.records, series: fleet.series };
const result = rankDetectors(makeHistory(input), { horizonDays: 90 });

describe("the ranking", () => {
  it("lists every detector in service once, with ranks 1 to n and benefits that never rise", () => {
    expect(result.detectors.map((one) => one.rank)).toEqual(fleet.records.detectors.map((_, index) => index + 1));
    expect(new Set(result.detectors.map((one) => one.detectorId)).size).toBe(80);
    for (const [index, one] of result.detectors.entries()) {
      const next = result.detectors[index + 1];
      if (!next) continue;
      expect(one.visit.netBenefit).toBeGreaterThanOrEqual(next.visit.netBenefit - 0.01);
    }
  });

  it("does not depend on the order in which records arrive", () => {
    const reversed = {
      sites: [...fleet.records.sites].reverse(),
      detectors: [...fleet.records.detectors].reverse(),
      events: [...fleet.records.events].reverse(),
      work: [...fleet.records.work].reverse(),
    };
    const series = new Map([...fleet.series].reverse());
    expect(rankedJson({ asOf: SIMULATED_AS_OF, records: reversed, series })).toBe(rankedJson(input));
  });

  it("doubles what each task avoids when events cost double", () => {
    const settings = defaultSettings();
    const doubled = {
      ...settings,
      perFaultEpisode: 2 * settings.perFaultEpisode,
      perUnwantedAlarm: 2 * settings.perUnwantedAlarm,
      // Visits cost double too, so that the same task stays the best.
      travelPerVisit: 2 * settings.travelPerVisit,
      accessLadder: 2 * settings.accessLadder,
      taskClean: 2 * settings.taskClean,
      taskRealign: 2 * settings.taskRealign,
      taskRepair: 2 * settings.taskRepair,
      taskReplace: 2 * settings.taskReplace,
      taskSurvey: 2 * settings.taskSurvey,
    };
    const dear = rankDetectors(makeHistory({ ...input, settings: doubled }), { horizonDays: 90 });
    for (const [index, { visit, detectorId }] of result.detectors.entries()) {
      const twice = dear.detectors[index];
      expect(twice?.detectorId).toBe(detectorId);
      expect(twice?.visit.task).toBe(visit.task);
      for (const end of ["mean", "low", "high"] as const) {
        expect(twice?.visit.avoidedCost[end]).toBeCloseTo(2 * visit.avoidedCost[end], 4);
      }
    }
  });

  it("keeps every estimate in order", () => {
    for (const { expected, expectedCost, visit } of result.detectors) {
      for (const { low, mean, high } of [expected.faults, expected.unwantedAlarms, expectedCost, visit.avoidedCost]) {
        expect(low).toBeLessThanOrEqual(mean);
        expect(mean).toBeLessThanOrEqual(high);
        expect(low).toBeGreaterThanOrEqual(0);
      }
    }
  });

  it("breaks ties by detector id", () => {
    const detectors = ["B", "A", "C"].map((detectorId) => makeDetector({ detectorId }));
    const { detectors: ranked } = rankDetectors(
      makeHistory({
        asOf: at("2025-01-01"),
        // The same record for all: a visit to one alone would tell more of it than of the others.
        records: { detectors, work: detectors.map(({ detectorId }) => makeWork({ done: "2024-01-01", detectorId })) },
      }),
      { horizonDays: 90 },
    );
    expect(ranked.map((one) => one.detectorId)).toEqual(["A", "B", "C"]);
  });

  it("proposes cleaning for beams that soil: wherever the visit pays, and for most where it does not", () => {
    const soiled = result.detectors.filter((one) => fleet.truth.get(one.detectorId) === "soiling");
    const paying = soiled.filter((one) => one.visit.netBenefit > 0);
    expect(paying.length).toBeGreaterThan(0);
    expect(paying.map((one) => one.visit.task)).toEqual(paying.map(() => "clean"));
    expect(soiled.filter((one) => one.visit.task === "clean").length).toBeGreaterThanOrEqual(0.8 * soiled.length);
    expect(soiled.every((one) => one.record.threat === "soiling")).toBe(true);
  });

  it("says too little data with a reason, and forecasts from the prior, where nothing ever happened", () => {
    const quiet = rankDetectors(makeHistory({ asOf: at("2025-01-01") }), { horizonDays: 90 });
    const [only] = quiet.detectors;
    for (const kind of kindNames) {
      expect(only?.tests[kind]).toMatchObject({ outcome: "too_little_data", reason: expect.stringMatching(/\w/) });
    }
    expect(only?.expected.faults.mean).toBeGreaterThan(0);
  });

  it("refuses a horizon that is no time", () => {
    expect(() => rankDetectors(makeHistory({ asOf: at("2025-01-01") }), { horizonDays: 0 })).toThrow(RangeError);
  });
});

describe("tests overdue", () => {
  const overdue = (work: ReturnType<typeof makeWork>[], lastServiceOn: string | null = null) => {
    const detectors = [makeDetector({ installedOn: "2024-01-01", lastServiceOn })];
    const history = makeHistory({
      asOf: at("2025-01-11"),
      records: { detectors, work, events: [makeEvent({ began: "2024-02-01" })] },
    });
    return rankDetectors(history, { horizonDays: 90 }).detectors[0]?.record.testOverdueDays;
  };

  it("counts from installation, from a passed test, or from the last service, whichever is last", () => {
    // 2024 had 366 days, so 11 January 2025 is day 376: 11 days beyond 365.
    expect(overdue([])).toBe(11);
    expect(overdue([makeWork({ task: "filter_test", result: "pass", done: "2024-06-01" })])).toBeNull();
    expect(overdue([makeWork({ task: "block_test", result: "fail", done: "2024-06-01" })])).toBe(11);
    expect(overdue([], "2024-06-01")).toBeNull();
  });
});

describe("the ranking JSON", () => {
  const json: unknown = JSON.parse(rankingJson(result, { asOfText: "2026-06-30" }));

  it("has the agreed keys in their order", () => {
    const parsed = json as { detectors: Record<string, object>[] };
    expect(Object.keys(parsed)).toEqual(["asOf", "horizonDays", "currency", "detectors"]);
    const first = parsed.detectors[0] ?? {};
    expect(Object.keys(first)).toEqual(["detectorId", "siteId", "rank", "findings", "tested", "expected", "visit"]);
    expect(Object.keys(first.tested ?? {})).toEqual([...kindNames]);
    expect(Object.keys(first.visit ?? {})).toEqual(["task", "cost", "avoidedCost", "netBenefit"]);
  });

  it("gives the benefit as the difference of the printed amounts", () => {
    const parsed = json as {
      detectors: { visit: { cost: number; avoidedCost: { mean: number }; netBenefit: number } }[];
    };
    for (const { visit } of parsed.detectors) {
      expect(visit.netBenefit).toBeCloseTo(visit.avoidedCost.mean - visit.cost, 6);
    }
  });
});
