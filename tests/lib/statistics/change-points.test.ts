import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { binarySegmentation, changePoints, differenceSigma } from "@/lib/statistics/change-points";
import { cusum } from "@/lib/statistics/cusum";

const series = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 1, maxLength: 9 });

function squares(y: readonly number[]): number {
  const mean = y.reduce((sum, v) => sum + v, 0) / y.length;
  return y.reduce((sum, v) => sum + (v - mean) ** 2, 0);
}

/** Least cost over every way to divide the series, by trying them all. */
function leastCost(y: readonly number[], penalty: number, minSegment: number): number {
  let least = squares(y);
  for (let cut = minSegment; cut <= y.length - minSegment; cut++) {
    least = Math.min(least, squares(y.slice(0, cut)) + penalty + leastCost(y.slice(cut), penalty, minSegment));
  }
  return least;
}

describe("changePoints", () => {
  it("no other division of the series costs less", () => {
    fc.assert(
      fc.property(series, fc.integer({ min: 0, max: 40 }), fc.integer({ min: 1, max: 3 }), (y, penalty, minSegment) => {
        const { objective, starts } = changePoints(y, { penalty, minSegment });
        expect(objective).toBeCloseTo(leastCost(y, penalty, minSegment), 8);
        const ends = [0, ...starts, y.length];
        if (starts.length > 0)
          for (let i = 1; i < ends.length; i++) expect(ends[i]! - ends[i - 1]!).toBeGreaterThanOrEqual(minSegment);
        expect(binarySegmentation(y, { penalty, minSegment }).objective).toBeGreaterThanOrEqual(objective - 1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it("a series that never changes has no change, even without a penalty", () => {
    expect(changePoints([98, 98, 98, 98], { penalty: 0 }).starts).toEqual([]);
    expect(changePoints([], { penalty: 1 })).toEqual({ starts: [], objective: 0 });
    expect(differenceSigma([98, 98, 98])).toBe(0);
    expect(differenceSigma([98])).toBe(0);
  });

  it("a realign shows as the first reading of the new level", () => {
    expect(changePoints([90, 90.2, 89.9, 100, 100.1, 99.8], { penalty: 2 }).starts).toEqual([3]);
  });

  it("impossible options are refused", () => {
    expect(() => changePoints([1], { penalty: -1 })).toThrow(/penalty/);
    expect(() => changePoints([1], { penalty: 1, minSegment: 0 })).toThrow(/segment/);
    expect(() => changePoints([Number.NaN], { penalty: 1 })).toThrow(/finite/);
  });
});

describe("cusum", () => {
  it("signals after a lasting shift and not for a single bad reading", () => {
    const limits = { target: 98, k: 1, h: 5 };
    expect(cusum([98, 93.5, 98, 98, 98, 98], limits).firstLow).toBeNull();
    expect(cusum([98, 95, 95, 95, 95], limits).firstLow).toBe(3);
    expect(cusum([], limits)).toEqual({ high: [], low: [], firstHigh: null, firstLow: null });
  });

  it("impossible limits are refused", () => {
    expect(() => cusum([1], { target: 0, k: -1, h: 1 })).toThrow(/slack/);
    expect(() => cusum([1], { target: 0, k: 1, h: 0 })).toThrow(/limit/);
  });
});
