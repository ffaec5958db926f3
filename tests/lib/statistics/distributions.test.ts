import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  betaQuantile,
  binomialCdf,
  binomialPmf,
  binomialQuantile,
  binomialUpper,
  chiSquareUpper,
  fCdf,
  fUpper,
  gammaCdf,
  gammaQuantile,
  gammaUpper,
  negativeBinomialCdf,
  negativeBinomialPmf,
  negativeBinomialQuantile,
  negativeBinomialUpper,
  normalCdf,
  normalQuantile,
  normalUpper,
  poissonCdf,
  poissonPmf,
  poissonQuantile,
  poissonUpper,
  studentCdf,
  studentQuantile,
  studentUpper,
} from "@/lib/statistics/distributions";

const probability = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true });
const positive = fc.double({ min: 0.05, max: 200, noNaN: true });
const count = fc.integer({ min: 0, max: 60 });

describe("distributions", () => {
  it("cdf and upper tail of a continuous family add up to one", () => {
    fc.assert(
      fc.property(positive, positive, (x, shape) => {
        expect(gammaCdf(x, { shape, rate: 1 }) + gammaUpper(x, { shape, rate: 1 })).toBeCloseTo(1, 12);
        expect(studentCdf(x - 100, shape) + studentUpper(x - 100, shape)).toBeCloseTo(1, 12);
        expect(fCdf(x, { df1: shape, df2: 7 }) + fUpper(x, { df1: shape, df2: 7 })).toBeCloseTo(1, 12);
      }),
    );
  });

  it("P(X <= k) and P(X >= k + 1) of a count add up to one, and P(X >= k) takes in k itself", () => {
    fc.assert(
      fc.property(count, positive, positive, probability, (k, mean, size, p) => {
        expect(poissonCdf(k, mean) + poissonUpper(k + 1, mean)).toBeCloseTo(1, 12);
        expect(poissonUpper(k, mean) - poissonUpper(k + 1, mean)).toBeCloseTo(poissonPmf(k, mean), 12);
        const nb = { size, mean };
        expect(negativeBinomialCdf(k, nb) + negativeBinomialUpper(k + 1, nb)).toBeCloseTo(1, 12);
        expect(negativeBinomialUpper(k, nb) - negativeBinomialUpper(k + 1, nb)).toBeCloseTo(
          negativeBinomialPmf(k, nb),
          11,
        );
        const bin = { n: 60, p };
        expect(binomialUpper(k, bin) - binomialUpper(k + 1, bin)).toBeCloseTo(binomialPmf(k, bin), 11);
        expect(binomialCdf(k, bin) + binomialUpper(k + 1, bin)).toBeCloseTo(1, 12);
      }),
    );
  });

  it("a quantile is the smallest count whose cdf reaches the chance", () => {
    fc.assert(
      fc.property(probability, positive, positive, (p, mean, size) => {
        const k = poissonQuantile(p, mean);
        expect(poissonCdf(k, mean)).toBeGreaterThanOrEqual(p);
        expect(poissonCdf(k - 1, mean)).toBeLessThan(p);
        const j = negativeBinomialQuantile(p, { size, mean });
        expect(negativeBinomialCdf(j, { size, mean })).toBeGreaterThanOrEqual(p * (1 - 1e-12));
        expect(negativeBinomialCdf(j - 1, { size, mean })).toBeLessThan(p);
      }),
    );
  });

  it("quantile undoes cdf", () => {
    fc.assert(
      fc.property(probability, positive, (p, shape) => {
        expect(gammaCdf(gammaQuantile(p, { shape, rate: 2 }), { shape, rate: 2 })).toBeCloseTo(p, 10);
        expect(normalCdf(normalQuantile(p))).toBeCloseTo(p, 12);
        expect(studentCdf(studentQuantile(p, shape), shape)).toBeCloseTo(p, 9);
      }),
    );
  });

  it("tails far out keep their digits", () => {
    // 1 - 0.5^60 has no digits left; the tail itself is exact.
    expect(binomialUpper(60, { n: 60, p: 0.5 })).toBeCloseTo(2 ** -60, 30);
    expect(normalUpper(12) / 1.77648211207768e-33).toBeCloseTo(1, 12);
    expect(chiSquareUpper(1000, 1)).toBeGreaterThan(0);
  });

  it("a negative binomial of boundless size is the Poisson distribution", () => {
    for (const k of [0, 1, 5]) {
      expect(negativeBinomialPmf(k, { size: Infinity, mean: 2.5 })).toBeCloseTo(poissonPmf(k, 2.5), 14);
      expect(negativeBinomialPmf(k, { size: 1e9, mean: 2.5 })).toBeCloseTo(poissonPmf(k, 2.5), 8);
      expect(negativeBinomialUpper(k, { size: Infinity, mean: 2.5 })).toBe(poissonUpper(k, 2.5));
    }
    expect(negativeBinomialQuantile(0.9, { size: Infinity, mean: 2.5 })).toBe(poissonQuantile(0.9, 2.5));
  });

  it("a mean of zero and no trial at all leave only the count zero", () => {
    expect(poissonPmf(0, 0)).toBe(1);
    expect(poissonUpper(1, 0)).toBe(0);
    expect(poissonQuantile(0.99, 0)).toBe(0);
    expect(negativeBinomialCdf(0, { size: 2, mean: 0 })).toBe(1);
    expect(binomialUpper(0, { n: 0, p: 0.3 })).toBe(1);
    expect(binomialUpper(1, { n: 0, p: 0.3 })).toBe(0);
    expect(binomialQuantile(0.5, { n: 0, p: 0.3 })).toBe(0);
  });

  it("impossible arguments are refused by name", () => {
    expect(() => normalQuantile(1.2)).toThrow(/probability.*1\.2/);
    expect(() => normalCdf(Number.NaN)).toThrow(RangeError);
    expect(() => poissonCdf(1, -1)).toThrow(RangeError);
    expect(() => gammaCdf(1, { shape: 0, rate: 1 })).toThrow(/shape/);
    expect(() => betaQuantile(0.5, { a: 1, b: -1 })).toThrow(RangeError);
    expect(() => binomialCdf(1, { n: 2.5, p: 0.5 })).toThrow(/trials/);
    expect(() => negativeBinomialCdf(1, { size: 0, mean: 1 })).toThrow(/size/);
  });
});
