import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { leastSquares } from "@/lib/statistics/least-squares";
import { fitLocalLevel, type LocalLevelSeries } from "@/lib/statistics/local-level";
import { invertSymmetric } from "@/lib/statistics/symmetric-inverse";

const normalOf = (seed: string) => {
  const chance = seededChance(seed);
  return () => Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
};

const seriesOf = (y: number[], starts: number[] = [0]): LocalLevelSeries => ({
  starts,
  t: Float64Array.from(y, (_, index) => index),
  y: Float64Array.from(y),
  noise: new Float64Array(y.length).fill(1),
  columns: [Float64Array.from(y, (_, index) => index)],
  priorSd: [Infinity],
});

describe("a level that does not wander", () => {
  it("gives the least-squares slope and standard error with a level for each stretch", () => {
    const normal = normalOf("still");
    const y = Array.from({ length: 60 }, (_, t) => (t < 25 ? 3 : -1) + 0.05 * t + normal());
    const fit = fitLocalLevel(seriesOf(y, [0, 25]), { ratio: 0, leastVariance: 1e-9 });
    // Oracle: the same model as a plain regression with two intercepts, by QR.
    const plain = leastSquares({ x: y.map((_, t) => [t < 25 ? 1 : 0, t < 25 ? 0 : 1, t]), y });
    expect(fit?.coefficients[0]).toBeCloseTo(plain?.coefficients[2] ?? Number.NaN, 9);
    expect(Math.sqrt(fit?.covariance[0]?.[0] ?? 0)).toBeCloseTo(plain?.standardErrors?.[2] ?? Number.NaN, 9);
    expect(fit?.df).toBe(plain?.df);
    // The level of the last row carried to t = 0 is the intercept of its stretch.
    expect(fit?.level).toBeCloseTo(plain?.coefficients[1] ?? Number.NaN, 9);
  });
});

describe("a level that wanders", () => {
  it("has a standard error that holds the true slope as often as it says", () => {
    let inside = 0;
    for (let round = 0; round < 300; round += 1) {
      const normal = normalOf(`walk ${round}`);
      let level = 0;
      const y = Array.from({ length: 100 }, (_, t) => {
        level += 0.5 * normal();
        return level + 0.1 * t + normal();
      });
      const fit = fitLocalLevel(seriesOf(y), { ratio: 0.25, leastVariance: 1e-9 });
      const se = Math.sqrt(fit?.covariance[0]?.[0] ?? 0);
      if (Math.abs((fit?.coefficients[0] ?? 0) - 0.1) <= 1.645 * se) inside += 1;
    }
    // 90 % of 300 is 270; five standard deviations of 5.2 on either side.
    expect(inside).toBeGreaterThan(244);
    expect(inside).toBeLessThan(296);
  });

  it("is likelier at the ratio it was made with than at none or at a hundred times as much", () => {
    const likelihoods = [0, 0.25, 25].map((ratio) => {
      let sum = 0;
      for (let round = 0; round < 20; round += 1) {
        const normal = normalOf(`ratio ${round}`);
        let level = 0;
        const y = Array.from({ length: 100 }, () => {
          level += 0.5 * normal();
          return level + normal();
        });
        sum += fitLocalLevel(seriesOf(y), { ratio, leastVariance: 1e-9 })?.logLikelihood ?? 0;
      }
      return sum;
    });
    expect(likelihoods[1]).toBeGreaterThan(likelihoods[0] ?? Infinity);
    expect(likelihoods[1]).toBeGreaterThan(likelihoods[2] ?? Infinity);
  });
});

describe("edges", () => {
  it("a prior draws a coefficient to nothing, and none is needed where the data decide", () => {
    const y = Array.from({ length: 30 }, (_, t) => 2 * t + (t % 2));
    const drawn = fitLocalLevel({ ...seriesOf(y), priorSd: [1e-6] }, { ratio: 0, leastVariance: 1e-9 });
    expect(Math.abs(drawn?.coefficients[0] ?? 1)).toBeLessThan(0.01);
    expect(fitLocalLevel(seriesOf(y), { ratio: 0, leastVariance: 1e-9 })?.coefficients[0]).toBeCloseTo(2, 1);
  });

  it("too few rows and columns that say the same give null, an impossible ratio throws", () => {
    expect(fitLocalLevel(seriesOf([1, 2]), { ratio: 0, leastVariance: 1 })).toBeNull();
    const twice = seriesOf([1, 2, 4, 3, 5, 7]);
    const doubled = { ...twice, columns: [...twice.columns, ...twice.columns], priorSd: [Infinity, Infinity] };
    expect(fitLocalLevel(doubled, { ratio: 0, leastVariance: 1 })).toBeNull();
    expect(() => fitLocalLevel(twice, { ratio: -1, leastVariance: 1 })).toThrow(RangeError);
  });

  it("inverts a symmetric matrix and knows its determinant", () => {
    const inverted = invertSymmetric([
      [4, 2],
      [2, 3],
    ]);
    // Determinant 8; inverse [[3, -2], [-2, 4]] / 8.
    expect(inverted?.logDeterminant).toBeCloseTo(Math.log(8), 12);
    expect(inverted?.inverse[0]).toEqual([expect.closeTo(0.375, 12), expect.closeTo(-0.25, 12)]);
    expect(
      invertSymmetric([
        [1, 1],
        [1, 1],
      ]),
    ).toBeNull();
  });
});
