import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { negativeBinomialLogPmf, poissonQuantile } from "@/lib/statistics/distributions";
import {
  countInterval,
  countLogProbability,
  fitSpread,
  levelReached,
  spreadVariance,
} from "@/lib/statistics/overdispersed-count";

describe("a count known by mean and variance", () => {
  test("has the probabilities of the negative binomial of that mean and variance", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 40 }),
        fc.double({ min: 0.01, max: 20, noNaN: true }),
        fc.double({ min: 0.05, max: 4, noNaN: true }),
        (y, mean, excess) => {
          const variance = mean * (1 + excess);
          const oracle = negativeBinomialLogPmf(y, { size: mean / excess, mean });
          expect(countLogProbability(y, { mean, variance })).toBeCloseTo(oracle, 8);
        },
      ),
    );
  });

  test("shortest 90 % interval of a Poisson count of mean 4 is 1 to 7", () => {
    // By hand from the printed Poisson table: .195 .195 .156 .147 .104 .073 .060 for 3 4 5 2 6 1 7, sum .931; .871 before.
    const four = { mean: 4, variance: 4 };
    expect(countInterval(four, { level: 0.9 })).toEqual({ low: 1, high: 7 });
    expect(levelReached(7, four)).toBeCloseTo(0.8711, 3);
    expect(levelReached(8, four)).toBeCloseTo(0.9306, 3);
    expect(levelReached(4, { mean: 4.4, variance: 4.4 })).toBe(0);
  });

  test("a rare event's interval is 0 alone", () => {
    expect(countInterval({ mean: 0.08, variance: 0.1 }, { level: 0.9 })).toEqual({ low: 0, high: 0 });
  });

  test("an interval holds a count exactly when the level reached lies below its own", () => {
    const moments = fc.record({
      mean: fc.double({ min: 0.02, max: 15, noNaN: true }),
      over: fc.double({ min: 1, max: 4, noNaN: true }),
    });
    fc.assert(
      fc.property(
        moments,
        fc.integer({ min: 0, max: 30 }),
        fc.double({ min: 0.6, max: 0.97, noNaN: true }),
        (one, y, level) => {
          const spread = { mean: one.mean, variance: one.mean * one.over };
          const { low, high } = countInterval(spread, { level });
          expect(y >= low && y <= high).toBe(levelReached(y, spread) < level);
        },
      ),
    );
  });

  test("the spread of plain chance is found to be plain chance", () => {
    const chance = seededChance("plain counts");
    const means = Array.from({ length: 4000 }, (_, index) => 0.1 + (index % 20) / 5);
    const counts = means.map((mean) => poissonQuantile(chance(), mean));
    const spread = fitSpread({ counts, means, doubts: means.map(() => 1) }, { linear: 1.25, common: 0.1, own: 1 });
    // Variance of a mean of 2 within a tenth of 2.
    expect(spreadVariance(2, spread, 1)).toBeLessThan(2.3);
  });
});
