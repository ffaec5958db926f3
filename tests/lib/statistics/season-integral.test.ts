import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { seasonIntegral } from "@/lib/statistics/season-integral";

const YEAR = 365.25;
const coefficient = fc.double({ min: -1.5, max: 1.5, noNaN: true });
const moment = fc.double({ min: -2000, max: 4000, noNaN: true });

describe("seasonIntegral", () => {
  it("a whole year weighs a year, wherever it starts", () => {
    fc.assert(
      fc.property(coefficient, coefficient, moment, (c, s, start) => {
        const amount = seasonIntegral({ coefficients: [c, s], period: YEAR, origin: 17 });
        expect(amount(start, start + YEAR)).toBeCloseTo(YEAR, 6);
      }),
    );
  });

  it("adjoining stretches add up", () => {
    fc.assert(
      fc.property(coefficient, coefficient, moment, moment, moment, (c, s, a, b, d) => {
        const amount = seasonIntegral({ coefficients: [c, s], period: YEAR, origin: 0 });
        expect(amount(a, b) + amount(b, d)).toBeCloseTo(amount(a, d), 6);
      }),
    );
  });

  it("the half-year around the peak outweighs the other", () => {
    // exp(cos) peaks at the origin: int over (-pi/2, pi/2) of exp(cos x) / (2 pi I0(1)) = 6.2088 / 7.9549
    const amount = seasonIntegral({ coefficients: [1, 0], period: 1, origin: 0 });
    expect(amount(-0.25, 0.25)).toBeCloseTo(6.2088 / 7.9549, 4);
  });

  it("no season leaves time as it is; half a wave is refused", () => {
    expect(seasonIntegral({ coefficients: [], period: YEAR, origin: 3 })(10, 510)).toBeCloseTo(500, 9);
    expect(() => seasonIntegral({ coefficients: [1], period: YEAR, origin: 0 })).toThrow(/pairs/);
    expect(() => seasonIntegral({ coefficients: [], period: 0, origin: 0 })).toThrow(/period/);
  });
});
