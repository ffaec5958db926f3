import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { angleAtShare, circleExposure, wrapAngle } from "@/lib/statistics/circle";

const exposure = fc
  .array(fc.integer({ min: 0, max: 31 }), { minLength: 2, maxLength: 24 })
  .filter((e) => e.some((x) => x > 0));

describe("circleExposure", () => {
  it("even exposure has no direction and unit vectors of variance one half", () => {
    const even = circleExposure(new Array<number>(12).fill(30));
    expect(even.meanCos).toBeCloseTo(0, 14);
    expect(even.meanSin).toBeCloseTo(0, 14);
    expect(even.varCos).toBeCloseTo(0.5, 14);
    expect(even.covariance).toBeCloseTo(0, 14);
  });

  it("moments agree with a fine sum over the density", () => {
    fc.assert(
      fc.property(exposure, (amounts) => {
        const circle = circleExposure(amounts);
        const angles = Array.from({ length: 20_000 }, (_, i) => angleAtShare((i + 0.5) / 20_000, circle));
        const mean = (f: (angle: number) => number) => angles.reduce((sum, angle) => sum + f(angle), 0) / angles.length;
        expect(circle.meanCos).toBeCloseTo(mean(Math.cos), 4);
        expect(circle.meanSin).toBeCloseTo(mean(Math.sin), 4);
        expect(circle.varCos).toBeCloseTo(mean((a) => Math.cos(a) ** 2) - mean(Math.cos) ** 2, 4);
        expect(circle.covariance).toBeCloseTo(
          mean((a) => Math.cos(a) * Math.sin(a)) - mean(Math.cos) * mean(Math.sin),
          4,
        );
      }),
      { numRuns: 20 },
    );
  });

  it("an angle is never drawn from a bin without exposure", () => {
    const circle = circleExposure([0, 5, 0, 5]);
    for (let i = 0; i < 100; i++) {
      const angle = angleAtShare(i / 100, circle);
      const bin = Math.floor(angle / (Math.PI / 2));
      expect([1, 3]).toContain(bin);
    }
  });

  it("no exposure, negative exposure and edges that do not close the circle are refused", () => {
    expect(() => circleExposure([0, 0])).toThrow(/no exposure/);
    expect(() => circleExposure([1, -1])).toThrow(RangeError);
    expect(() => circleExposure([1, 1], [0, 1, 6])).toThrow(/2 pi/);
    expect(() => circleExposure([1, 1], [0, 7, 2 * Math.PI])).toThrow(/rise/);
    expect(() => circleExposure([])).toThrow(RangeError);
  });
});

describe("wrapAngle", () => {
  it("brings any angle into one turn without moving it", () => {
    fc.assert(
      fc.property(fc.double({ min: -100, max: 100, noNaN: true }), (angle) => {
        const wrapped = wrapAngle(angle);
        expect(wrapped).toBeGreaterThanOrEqual(0);
        expect(wrapped).toBeLessThan(2 * Math.PI + 1e-12);
        expect(Math.cos(wrapped)).toBeCloseTo(Math.cos(angle), 10);
        expect(Math.sin(wrapped)).toBeCloseTo(Math.sin(angle), 10);
      }),
    );
  });
});
