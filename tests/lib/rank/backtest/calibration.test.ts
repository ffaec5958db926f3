import { describe, expect, it } from "vitest";
import { calibrationOf, type Pair, pairsOf } from "@/lib/rank/backtest/calibration";
import { logScores } from "@/lib/rank/backtest/log-scores";
import { makeJudged, makeOrigin } from "@/tests/fixtures/judged-origins";

const pair = (detectorId: string, predicted: number, realised: number): Pair => ({
  detectorId,
  predicted,
  realised,
  inside: null,
});

describe("calibration", () => {
  it("sums what was predicted and what came, over all and in ten groups of equal size by what was expected", () => {
    const pairs = Array.from({ length: 40 }, (_, index) => pair(`D${index}`, (index + 1) / 10, index % 2));
    const { overall, groups } = calibrationOf([...pairs].reverse(), { overlap: 1 });
    // (1 + ... + 40) / 10 = 82; every second one had an event.
    expect(overall).toMatchObject({ forecasts: 40, realised: 20 });
    expect(overall.predicted).toBeCloseTo(82, 9);
    expect(groups.map(({ forecasts }) => forecasts)).toEqual(Array(10).fill(4));
    expect(groups[0]?.predicted).toBeCloseTo(1, 9);
    expect(groups[9]?.predicted).toBeCloseTo(15.4, 9);
  });

  it("has the exact Poisson interval where detectors differ no more than by chance", () => {
    // 10 events at 10 of 100 detectors that expected 0.1 each: limits of 10 events are 5.4254 and 16.9622 (Garwood 1936).
    const pairs = Array.from({ length: 100 }, (_, index) => pair(`D${index}`, 0.1, index < 10 ? 1 : 0));
    const { ratio } = calibrationOf(pairs, { overlap: 1 }).overall;
    expect(ratio?.mean).toBeCloseTo(1, 9);
    expect(ratio?.low).toBeCloseTo(0.54254, 4);
    expect(ratio?.high).toBeCloseTo(1.69622, 4);
  });

  it("counts three horizons over the same event as about one: the interval widens as for a third of the events", () => {
    const thrice = (["a", "b", "c"] as const).flatMap(() =>
      Array.from({ length: 100 }, (_, index) => pair(`D${index}`, 0.1, index < 10 ? 1 : 0)),
    );
    const { ratio } = calibrationOf(thrice, { overlap: 1 }).overall;
    // Residuals of a detector add over its horizons: 10 * 2.7^2 + 90 * 0.3^2 = 81, over 30 events phi = 2.7, so 11.11 events.
    expect(calibrationOf(thrice, { overlap: 1 }).dispersion).toBeCloseTo(2.7, 9);
    expect(ratio?.mean).toBeCloseTo(1, 9);
    expect(ratio?.low).toBeCloseTo(0.562, 2);
    expect(calibrationOf(thrice, { overlap: 3 }).overall.ratio?.low).toBeCloseTo(0.54254, 4);
  });

  it("gives an upper limit where nothing came, and none where nothing was predicted", () => {
    // -ln 0.05 = 2.9957 events are the upper limit of none.
    expect(calibrationOf([pair("D1", 2, 0)], { overlap: 1 }).overall.ratio).toEqual({
      mean: 0,
      low: 0,
      high: expect.closeTo(2.9957 / 2, 3),
    });
    expect(calibrationOf([pair("D1", 0, 0)], { overlap: 1 }).overall.ratio).toBeNull();
    expect(calibrationOf([], { overlap: 1 }).groups).toEqual([]);
  });
});

describe("forecasts set beside what came", () => {
  const half = makeJudged("D2", { faults: { mean: 2, low: 0, high: 4, realised: 1 }, observedDays: 45 });
  const never = makeJudged("D3", { faults: { mean: 2, realised: 0 }, observedDays: 0 });

  it("shrink to the observed part of the horizon, ask an interval only of a whole one, and leave out the unobserved", () => {
    const whole = makeJudged("D1", { faults: { mean: 2, low: 1, high: 4, realised: 5 } });
    expect(pairsOf([makeOrigin([whole, half, never])], "faults")).toEqual([
      { detectorId: "D1", predicted: 2, realised: 5, inside: false },
      { detectorId: "D2", predicted: 1, realised: 1, inside: null },
    ]);
  });

  it("score by -ln of the chance they gave: Poisson and negative binomial by hand", () => {
    const simple = { pooledRate: 1, ownRate: 2, lastYear: 0.5 };
    const one = makeJudged("D1", { faults: { mean: 1, variance: 2, realised: 1, simple } });
    const scores = logScores([makeOrigin([one, never])], "faults");
    // Negative binomial of mean 1, size 1: P(1) = 1/4. Poisson: e^-m m.
    expect(scores).toEqual({
      forecasts: 1,
      ours: expect.closeTo(Math.log(4), 9),
      oursAsPoisson: expect.closeTo(1, 9),
      pooledRate: expect.closeTo(1, 9),
      ownRate: expect.closeTo(2 - Math.log(2), 9),
      lastYear: expect.closeTo(0.5 + Math.log(2), 9),
    });
    expect(logScores([makeOrigin([never])], "faults")).toBeNull();
  });
});
