import { describe, expect, it } from "vitest";
import { type CellCounts, sharePosteriors } from "@/lib/rank/visit-effects/task-posterior";

const cell = (changes: Partial<CellCounts>): CellCounts => ({
  stated: 0.7,
  observed: 0,
  expected: 0,
  dispersion: 1,
  speaks: true,
  ...changes,
});
const prior = { weight: 20, spread: 0.35 };

describe("shares a task prevents", () => {
  it("without records are exactly as stated, with the doubt of the stated spread in the interval", () => {
    const posteriors = sharePosteriors(
      [0.7, 0.3, 0.15, 0.03].map((stated) => cell({ stated })),
      prior,
    );
    for (const [index, stated] of [0.7, 0.3, 0.15, 0.03].entries()) {
      const { mean, low, high } = posteriors[index] ?? { mean: 0, low: 0, high: 0 };
      expect(mean).toBeCloseTo(stated, 9);
      expect(low).toBeLessThan(stated);
      expect(high).toBeGreaterThan(stated);
    }
  });

  it("weigh records and statement alike at the weight's number of expected events, where the spread is none", () => {
    // Beta(14, 6), 20 expected, 12 seen: the records alone say 0.4, the statement 0.7.
    // Simpson's rule over s of s^13 (1-s)^17 exp(20 s), with and without another s: mean 0.5850263.
    const [found] = sharePosteriors([cell({ observed: 12, expected: 20 })], { weight: 20, spread: 0 });
    expect(found?.mean).toBeCloseTo(0.5850263, 6);
  });

  it("follow many records wherever they lead", () => {
    const [useless] = sharePosteriors([cell({ observed: 1000, expected: 1000 })], prior);
    const [splendid] = sharePosteriors([cell({ stated: 0.3, observed: 100, expected: 1000 })], prior);
    expect(useless?.mean).toBeLessThan(0.07);
    expect(splendid?.mean).toBeGreaterThan(0.85);
    expect(splendid?.mean).toBeLessThanOrEqual(0.95);
  });

  it("of a cause without records move with what the task did elsewhere, unless those may not speak for it", () => {
    const poor = { observed: 80, expected: 100 };
    const [, borrowed] = sharePosteriors([cell(poor), cell({})], prior);
    const [, alone] = sharePosteriors([cell({ ...poor, speaks: false }), cell({})], prior);
    expect(borrowed?.mean).toBeLessThan(0.6);
    expect(alone?.mean).toBeCloseTo(0.7, 9);
  });

  it("have a wider interval where counts are dispersed", () => {
    const width = (dispersion: number) => {
      const [found] = sharePosteriors([cell({ observed: 30, expected: 100, dispersion })], prior);
      return (found?.high ?? 0) - (found?.low ?? 0);
    };
    expect(width(3)).toBeGreaterThan(1.2 * width(1));
  });
});
