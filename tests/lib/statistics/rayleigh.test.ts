import { describe, expect, it } from "vitest";
import { exposureChiSquare, rayleigh } from "@/lib/statistics/rayleigh";
import { rayleighExact } from "@/lib/statistics/rayleigh-exact";

describe("rayleigh", () => {
  it("directions that cancel out have no mean direction", () => {
    const found = rayleigh([0, (2 * Math.PI) / 3, (4 * Math.PI) / 3]);
    expect(found.rBar).toBe(0);
    expect(found.meanDirection).toBeNull();
    expect(found.p).toBeCloseTo(1, 9);
  });

  it("a single event proves no direction", () => {
    expect(rayleigh([2]).p).toBe(1);
    expect(() => rayleigh([])).toThrow(RangeError);
  });

  it("Zar's formula stays near the exact chance", () => {
    for (const spread of [0.8, 1.2, 1.6]) {
      const angles = Array.from({ length: 8 }, (_, i) => i * spread * 0.3);
      const { p, rBar } = rayleigh(angles);
      expect(Math.abs(p - rayleighExact(8, 8 * rBar))).toBeLessThan(0.003);
    }
  });

  it("the exact integral is refused where it does not converge", () => {
    expect(() => rayleighExact(4, 2)).toThrow(/at least 5/);
    expect(() => rayleighExact(6, 7)).toThrow(/length/);
  });
});

describe("exposureChiSquare", () => {
  it("counts in proportion to exposure are no departure", () => {
    expect(exposureChiSquare({ counts: [2, 4, 6], exposure: [1, 2, 3] })).toEqual({ chiSquare: 0, df: 2, p: 1 });
  });

  it("months without exposure are left out, not taken as zero", () => {
    const all = exposureChiSquare({ counts: [5, 1], exposure: [10, 10] });
    expect(exposureChiSquare({ counts: [5, 0, 1], exposure: [10, 0, 10] })).toEqual(all);
    expect(exposureChiSquare({ counts: [0, 0], exposure: [1, 1] }).p).toBe(1);
  });
});
