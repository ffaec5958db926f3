import { describe, expect, it } from "vitest";
import { backtestOf } from "@/lib/rank/backtest/backtest";
import type { BacktestResult, CaptureMethod } from "@/lib/rank/backtest/backtest-result";
import { findingsFollowed } from "@/lib/rank/backtest/findings-followed";
import { heldBy } from "@/lib/rank/backtest/held";
import { judgeOrigin } from "@/lib/rank/backtest/judge-origin";
import { knownOutcome } from "@/lib/rank/backtest/outcome";
import { simpleForecasts } from "@/lib/rank/backtest/simple-forecasts";
import { makeJudged, makeOrigin } from "@/tests/fixtures/judged-origins";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent } from "@/tests/fixtures/records";
import { SIMULATED_AS_OF, simulateFleet } from "@/tests/fixtures/simulated-fleet";

const horizonDays = 90;

describe("a month by hand", () => {
  // 20 detectors: 5 % is one, 10 % two, 20 % four. D00 costs 60, D01 30, D02 10.
  const costs = [60, 30, 10];
  const detectors = Array.from({ length: 20 }, (_, index) =>
    makeJudged(`D${String(index).padStart(2, "0")}`, {
      realisedCost: costs[index] ?? 0,
      visited: index === 0,
      scores: { avoided_cost: index === 1 ? 9 : 0, faults_12m: index === 0 ? 2 : 0, lowest_signal: -index },
    }),
  );

  it("says what each way of choosing held; ties are shared by chance", () => {
    const held = heldBy(detectors);
    // By avoided cost D01 comes first with 30; of the other 19, which hold 70, one and three are drawn.
    expect(held.avoided_cost).toEqual(
      [0.3, 0.3, 0.3 + 0.7 / 19, 0.3 + 2.1 / 19].map((share) => expect.closeTo(share, 9)),
    );
    expect(held.faults_12m[1]).toBeCloseTo(0.6, 9);
    expect(held.lowest_signal).toEqual([0.6, 0.6, 0.9, 1].map((share) => expect.closeTo(share, 9)));
    expect(held.random).toEqual([0.05, 0.05, 0.1, 0.2].map((share) => expect.closeTo(share, 9)));
    expect(held.perfect).toEqual([0.6, 0.6, 0.9, 1].map((share) => expect.closeTo(share, 9)));
  });

  it("pools months by cost, keeps the worst and best, and leaves the visited out where asked", () => {
    const quiet = makeOrigin([makeJudged("D00", { realisedCost: 100 })], at("2025-04-01"));
    const { capture, captureUnvisited, origins } = backtestOf([makeOrigin(detectors), quiet], frame());
    const at5 = (of: BacktestResult["capture"], method: CaptureMethod) =>
      of.find((one) => one.method === method)?.points[1];
    expect(at5(capture, "avoided_cost")).toEqual({
      share: 0.05,
      held: expect.closeTo(130 / 200, 9),
      lowestMonth: expect.closeTo(0.3, 9),
      highestMonth: 1,
    });
    // Without D00 the 19 left cost 40 and D01 holds 30 of it; the other month's 100 stay.
    expect(at5(captureUnvisited, "avoided_cost")?.held).toBeCloseTo(130 / 140, 9);
    expect(origins.map(({ visited, realisedCost }) => [visited, realisedCost])).toEqual([
      [1, 100],
      [0, 100],
    ]);
  });

  it("cannot say where no cost followed", () => {
    expect(heldBy([makeJudged("D1")]).perfect).toEqual([null, null, null, null]);
    expect(() => backtestOf([], frame())).toThrow(RangeError);
  });

  it("counts what followed a finding: alarms after a season, faults after a rise", () => {
    const listed = makeJudged("D1", {
      findings: ["rising_faults", "seasonal_alarms"],
      faults: { realised: 3 },
      alarms: { realised: 1 },
    });
    const other = makeJudged("D2", { faults: { realised: 1 }, observedDays: 45 });
    expect(findingsFollowed([makeOrigin([listed, other])])).toEqual([
      {
        kind: "rising_faults",
        counts: "faults",
        listed: { detectors: 1, days: 90, events: 3 },
        others: { detectors: 1, days: 45, events: 1 },
      },
      {
        kind: "seasonal_alarms",
        counts: "alarms",
        listed: { detectors: 1, days: 90, events: 1 },
        others: { detectors: 1, days: 45, events: 0 },
      },
    ]);
  });
});

describe("plain forecasts", () => {
  it("are the fleet's rate, the own rate with half an event, and the mean of own and fleet in last year's weeks", () => {
    const detectors = [makeDetector(), makeDetector({ detectorId: "D2" })];
    const events = [makeEvent({ began: "2024-03-20T00:00:00Z" }), makeEvent({ began: "2024-09-01T00:00:00Z" })];
    const first = makeEvent({ detectorId: "D2", began: "2023-01-01T00:00:00Z" });
    const history = makeHistory({ asOf: at("2025-03-01"), records: { detectors, events: [first, ...events] } });
    // 2 faults in 2 x 365 days; D1: 2.5 in 365; D1 had one of its faults in the 90 days from 1 March 2024, the fleet half a one.
    const forecasts = simpleForecasts(history, { kind: "faults", horizonDays });
    expect(forecasts).toEqual([
      {
        pooledRate: expect.closeTo(90 / 365, 6),
        ownRate: expect.closeTo((2.5 * 90) / 365, 6),
        lastYear: expect.closeTo(0.75, 9),
      },
      {
        pooledRate: expect.closeTo(90 / 365, 6),
        ownRate: expect.closeTo((0.5 * 90) / 365, 6),
        lastYear: expect.closeTo(0.25, 9),
      },
    ]);
  });
});

describe("a simulated fleet ranked in the past", () => {
  const fleet = simulateFleet({ seed: "backtest", detectors: 60, planted: "rising", every: 10 });
  const historyAt = (asOf: number) => makeHistory({ asOf, records: fleet.records, series: fleet.series });
  const end = historyAt(SIMULATED_AS_OF);
  const outcome = knownOutcome(end);
  const judged = ["2025-10-01", "2026-01-01"].map((day) => judgeOrigin(historyAt(at(day)), { outcome, horizonDays }));
  const result = backtestOf(judged, { ...frame(), end });

  it("lets no way of choosing hold more than perfect foresight, and shares never fall with more detectors", () => {
    const points = new Map(
      result.capture.map(({ method, points: held }) => [method, held.map((one) => one.held ?? 0)]),
    );
    const perfect = points.get("perfect") ?? [];
    for (const held of points.values()) {
      for (const [index, share] of held.entries()) {
        expect(share).toBeLessThanOrEqual((perfect[index] ?? 0) + 1e-9);
        expect(share).toBeGreaterThanOrEqual((held[index - 1] ?? 0) - 1e-9);
      }
    }
    expect(points.get("avoided_cost")?.[3]).toBeGreaterThan(points.get("random")?.[3] ?? 1);
  });

  it("counts each event once in all and prices what followed by the settings", () => {
    const { perFaultEpisode, perUnwantedAlarm } = end.settings;
    for (const { counts, realisedCost } of result.origins) {
      expect(realisedCost).toBeCloseTo(
        counts.faults.realised * perFaultEpisode + counts.alarms.realised * perUnwantedAlarm,
        6,
      );
    }
    const seen = result.origins.reduce((sum, { counts }) => sum + counts.faults.realised, 0);
    // The horizons of October and January do not overlap, so no event is counted twice.
    expect(result.events.faults).toBe(seen);
    expect(seen).toBeGreaterThan(0);
    expect(result.calibration.faults.overall).toMatchObject({ forecasts: 120, realised: seen });
  });
});

function frame() {
  return { end: makeHistory({ asOf: at("2025-08-01") }), monthsAsked: 12, horizonDays };
}
