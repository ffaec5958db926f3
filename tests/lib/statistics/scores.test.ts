import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { negativeBinomialPmf } from "@/lib/statistics/distributions";
import { probabilityScores } from "@/lib/statistics/probability-scores";
import { countScores, pitHistogram, rankedProbabilityScore } from "@/lib/statistics/scores";

const mean = fc.double({ min: 0.05, max: 8, noNaN: true });
const size = fc.double({ min: 0.3, max: 30, noNaN: true });

describe("countScores", () => {
  it("on average no other forecast scores better than the true one", () => {
    fc.assert(
      fc.property(mean, size, mean, size, (m, k, otherMean, otherSize) => {
        const truth = { mean: m, size: k };
        const expectedScore = (forecast: { mean: number; size: number }, of: "logScore" | "rankedProbabilityScore") => {
          let sum = 0;
          for (let y = 0; y < 120; y++) sum += negativeBinomialPmf(y, truth) * countScores(y, forecast)[of];
          return sum;
        };
        for (const of of ["logScore", "rankedProbabilityScore"] as const) {
          expect(expectedScore(truth, of)).toBeLessThanOrEqual(
            expectedScore({ mean: otherMean, size: otherSize }, of) + 1e-6,
          );
        }
      }),
      { numRuns: 8 },
    );
  });

  it("a certain zero that comes costs nothing, one that does not costs without bound", () => {
    expect(countScores(0, { mean: 0, size: 1 })).toMatchObject({ logScore: 0, rankedProbabilityScore: 0, pitHigh: 1 });
    expect(countScores(2, { mean: 0, size: 1 }).logScore).toBe(Infinity);
    expect(rankedProbabilityScore(2, { mean: 0, size: 1 })).toBe(2);
    expect(() => countScores(-1, { mean: 1, size: 1 })).toThrow(RangeError);
  });
});

describe("pitHistogram", () => {
  it("is even when the counts come as forecast", () => {
    const forecast = { mean: 1.3, size: 2 };
    const ends = Array.from({ length: 40 }, (_, y) => ({
      scores: countScores(y, forecast),
      weight: negativeBinomialPmf(y, forecast),
    }));
    const shares = new Array<number>(10).fill(0);
    for (const { scores, weight } of ends) {
      for (const [bin, share] of pitHistogram([scores], { bins: 10 }).entries()) shares[bin]! += share * weight;
    }
    for (const share of shares) expect(share).toBeCloseTo(0.1, 6);
  });

  it("no forecast, no share; impossible bins are refused", () => {
    expect(pitHistogram([], { bins: 2 })).toEqual([0, 0]);
    expect(() => pitHistogram([], { bins: 0 })).toThrow(/bins/);
  });
});

describe("probabilityScores", () => {
  it("Brier is reliability less resolution plus uncertainty", () => {
    const forecast = fc.tuple(fc.constantFrom(0, 0.1, 0.4, 0.8, 1), fc.boolean());
    fc.assert(
      fc.property(fc.array(forecast, { minLength: 1, maxLength: 30 }), (list) => {
        const scores = probabilityScores({ p: list.map(([p]) => p), observed: list.map(([, o]) => o) })!;
        expect(scores.reliability - scores.resolution + scores.uncertainty).toBeCloseTo(scores.brier, 10);
      }),
    );
  });

  it("outcomes all alike leave skill and ranking open; nothing forecast, nothing scored", () => {
    expect(probabilityScores({ p: [0.2, 0.4], observed: [false, false] })).toMatchObject({ skill: null, auc: null });
    expect(probabilityScores({ p: [], observed: [] })).toBeNull();
    expect(() => probabilityScores({ p: [0.5], observed: [] })).toThrow(RangeError);
    expect(() => probabilityScores({ p: [1.5], observed: [true] })).toThrow(RangeError);
  });
});
