import { describe, expect, it } from "vitest";
import { defaultSettings } from "@/lib/settings/settings";
import { analyseAdversary } from "@/tests/adversary/measure";
import { scoreOf } from "@/tests/adversary/score";
import { countInterval, logChance, tenths } from "@/tests/adversary/score-parts";
import { simulateAdversary } from "@/tests/adversary/simulate";
import { bestTrueVisit, trueCost } from "@/tests/adversary/truth";

const settings = defaultSettings();
const fleet = simulateAdversary({ seed: "score", detectors: 80, days: 500, paths: 4 });
const { result } = analyseAdversary(fleet, settings);

describe("the scoreboard", () => {
  it("ranks every detector in service and keeps shares inside their bounds", () => {
    const score = scoreOf(result, { truth: fleet.truth, settings });
    expect(result.detectors).toHaveLength(80);
    expect(score.capture.perfect).toBeGreaterThanOrEqual(score.capture.ours ?? 1);
    expect(score.capture.perfect).toBeLessThanOrEqual(1);
    expect(score.visits.trueNetOfOurs).toBeLessThanOrEqual(score.visits.trueNetOfPerfect);
    expect(score.visits.proposed).toBeLessThanOrEqual(8);
    expect(score.calibration.faults.tenths).toHaveLength(10);
  });

  it("gives full marks to an answer that is the truth", () => {
    const known = result.detectors.map((ranked) => {
      const truth = fleet.truth.get(ranked.detectorId);
      if (!truth) throw new RangeError(`no truth of ${ranked.detectorId}`);
      const best = bestTrueVisit(truth, settings);
      const flat = (mean: number) => ({ mean, low: 0, high: 100 });
      return {
        ...ranked,
        expected: { faults: flat(truth.without.faults), unwantedAlarms: flat(truth.without.alarms) },
        expectedCost: flat(trueCost(truth, settings)),
        visit: {
          ...ranked.visit,
          task: best.task,
          cost: best.cost,
          avoidedCost: flat(best.avoided),
          netBenefit: best.net,
        },
      };
    });
    const score = scoreOf({ ...result, detectors: known }, { truth: fleet.truth, settings });
    expect(score.capture.ofPerfect).toBeCloseTo(1, 9);
    expect(score.visits.ofPerfect).toBeCloseTo(1, 9);
    expect(score.visits.rightTaskStrict).toBe(1);
    expect(score.calibration.faults.predictedOverExpected).toBeCloseTo(1, 9);
    expect(score.calibration.faults.coverage).toBe(1);
  });

  it("parts a list in ten without losing any", () => {
    const parts = tenths(Array.from({ length: 37 }, (_, index) => index));
    expect(parts).toHaveLength(10);
    expect(parts.flat()).toHaveLength(37);
  });

  it("gives counts chances that add to one, and intervals that hold nine of ten", () => {
    // Sum over counts of exp(log chance) is 1 for any negative binomial; mean 2, variance 5.
    const sum = Array.from({ length: 200 }, (_, count) => Math.exp(logChance(count, { mean: 2, variance: 5 })));
    expect(sum.reduce((whole, part) => whole + part, 0)).toBeCloseTo(1, 9);
    const { low, high } = countInterval(2, 5);
    const inside = sum.slice(low, high + 1).reduce((whole, part) => whole + part, 0);
    expect(inside).toBeGreaterThanOrEqual(0.9);
  });
});
