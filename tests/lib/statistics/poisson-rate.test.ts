import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { poissonCdf, poissonUpper } from "@/lib/statistics/distributions";
import { poissonRateInterval, rateRatioTest } from "@/lib/statistics/poisson-rate";

const count = fc.integer({ min: 0, max: 40 });
const exposure = fc.double({ min: 1, max: 5000, noNaN: true });

describe("poissonRateInterval", () => {
  it("each limit leaves exactly its tail beyond the count", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 40 }), exposure, (n, e) => {
        const { low, high, rate } = poissonRateInterval(n, e, { level: 0.9 });
        expect(rate).toBe(n / e);
        expect(poissonUpper(n, low * e)).toBeCloseTo(0.05, 10);
        expect(poissonCdf(n, high * e)).toBeCloseTo(0.05, 10);
      }),
    );
  });

  it("no event still has an upper limit: 3.689 over the exposure at 95 %", () => {
    // -ln(.025) = 3.688879
    expect(poissonRateInterval(0, 1, { level: 0.95 })).toEqual({
      rate: 0,
      low: 0,
      high: expect.closeTo(3.688879454, 8),
    });
  });

  it("no exposure, no rate", () => {
    expect(() => poissonRateInterval(0, 0, { level: 0.95 })).toThrow(/exposure/);
    expect(() => poissonRateInterval(1.5, 10, { level: 0.95 })).toThrow(/count/);
    expect(() => poissonRateInterval(1, 10, { level: 1 })).toThrow(/level/);
  });
});

describe("rateRatioTest", () => {
  const test = (x1: number, e1: number, x2: number, e2: number) =>
    rateRatioTest({ recent: { count: x1, exposure: e1 }, baseline: { count: x2, exposure: e2 }, level: 0.95 });

  it("all three of three events in the last quarter of the time: p = 1/64, mid-p half of it", () => {
    const { pExact, pMid, ratio, high, low } = test(3, 365, 0, 3 * 365);
    expect(pExact).toBeCloseTo(1 / 64, 12);
    expect(pMid).toBeCloseTo(1 / 128, 12);
    expect(ratio).toBeNull();
    expect(high).toBeNull();
    expect(low).toBeGreaterThan(1);
  });

  it("no event in either window is no evidence, not an error", () => {
    expect(test(0, 365, 0, 700)).toEqual({ ratio: null, low: 0, high: null, pExact: 1, pMid: 1 });
  });

  it("the ratio lies inside its limits, and the unit of time does not matter", () => {
    fc.assert(
      fc.property(count, exposure, fc.integer({ min: 1, max: 40 }), exposure, (x1, e1, x2, e2) => {
        const found = test(x1, e1, x2, e2);
        const inYears = test(x1, e1 / 365, x2, e2 / 365);
        expect(found.ratio!).toBeGreaterThanOrEqual(found.low);
        expect(found.ratio!).toBeLessThanOrEqual(found.high!);
        expect(inYears.ratio!).toBeCloseTo(found.ratio!, 6);
        expect(inYears.pMid).toBeCloseTo(found.pMid, 9);
        expect(found.pMid).toBeLessThanOrEqual(found.pExact);
      }),
    );
  });

  it("the other way round, the limits are the reciprocals", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 30 }),
        exposure,
        fc.integer({ min: 1, max: 30 }),
        exposure,
        (x, e, y, f) => {
          const there = test(x, e, y, f);
          const back = test(y, f, x, e);
          expect(there.low * back.high!).toBeCloseTo(1, 8);
        },
      ),
    );
  });
});
