import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { betaPoissonMoments } from "@/lib/statistics/prevented-share";

// Oracle: the same integrals by Simpson's rule, for shapes of 1 or more, where the integrand is bounded.
function bySimpson({ a, b, observed, expected }: { a: number; b: number; observed: number; expected: number }) {
  const n = 4000;
  const integral = (power: number) => {
    let sum = 0;
    for (let i = 0; i <= n; i += 1) {
      const s = i / n;
      const weight = i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2;
      sum += weight * s ** (a - 1 + power) * (1 - s) ** (b - 1 + observed) * Math.exp(expected * (s - 1));
    }
    return sum;
  };
  return { mean: integral(1) / integral(0), square: integral(2) / integral(0) };
}

describe("moments of a prevented share", () => {
  it("without any event expected or seen are those of the beta distribution", () => {
    // Beta(14, 6): mean 14 / 20; mean square 14 x 15 / (20 x 21) = 0.5.
    const { mean, square, logLikelihood } = betaPoissonMoments({ a: 14, b: 6, observed: 0, expected: 0 });
    expect(mean).toBeCloseTo(0.7, 12);
    expect(square).toBeCloseTo(0.5, 12);
    expect(logLikelihood).toBeCloseTo(0, 12);
  });

  it("agree with the integrals by Simpson's rule", () => {
    for (const one of [
      { a: 14, b: 6, observed: 9, expected: 20 },
      { a: 3, b: 17, observed: 41.5, expected: 40 },
      { a: 2, b: 18, observed: 0, expected: 3 },
      { a: 6, b: 14, observed: 260, expected: 400 },
    ]) {
      const oracle = bySimpson(one);
      const found = betaPoissonMoments(one);
      expect(found.mean).toBeCloseTo(oracle.mean, 7);
      expect(found.square).toBeCloseTo(oracle.square, 7);
    }
  });

  it("fall with each event seen, rise with each expected, and stay within 0 and 1", () => {
    const shape = fc.double({ min: 0.2, max: 40, noNaN: true });
    const count = fc.double({ min: 0, max: 300, noNaN: true });
    fc.assert(
      fc.property(shape, shape, count, count, (a, b, observed, expected) => {
        const { mean } = betaPoissonMoments({ a, b, observed, expected });
        expect(mean).toBeGreaterThanOrEqual(0);
        expect(mean).toBeLessThanOrEqual(1);
        expect(betaPoissonMoments({ a, b, observed: observed + 1, expected }).mean).toBeLessThanOrEqual(mean + 1e-9);
        expect(betaPoissonMoments({ a, b, observed, expected: expected + 1 }).mean).toBeGreaterThanOrEqual(mean - 1e-9);
      }),
    );
  });

  it("refuse impossible shapes and counts", () => {
    expect(() => betaPoissonMoments({ a: 0, b: 1, observed: 0, expected: 0 })).toThrow(RangeError);
    expect(() => betaPoissonMoments({ a: 1, b: 1, observed: -1, expected: 0 })).toThrow(RangeError);
  });
});
