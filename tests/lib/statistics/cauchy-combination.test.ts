import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cauchyCombination } from "@/lib/statistics/cauchy-combination";

const inside = fc.double({ min: 1e-12, max: 0.99, noNaN: true });

describe("cauchyCombination", () => {
  it("equal p-values combine to themselves", () => {
    fc.assert(
      fc.property(inside, fc.integer({ min: 1, max: 5 }), (p, n) => {
        expect(cauchyCombination(new Array<number>(n).fill(p)) / p).toBeCloseTo(1, 9);
      }),
    );
  });

  it("the answer lies between the smallest and the largest p-value and does not mind their order", () => {
    fc.assert(
      fc.property(fc.array(inside, { minLength: 2, maxLength: 6 }), (p) => {
        const combined = cauchyCombination(Object.freeze([...p]));
        expect(combined).toBeGreaterThanOrEqual(Math.min(...p) * (1 - 1e-9));
        expect(combined).toBeLessThanOrEqual(Math.max(...p) * (1 + 1e-9));
        expect(cauchyCombination([...p].reverse()) / combined).toBeCloseTo(1, 9);
      }),
    );
  });

  it("a test that says nothing (p = 1) does not drown one that speaks", () => {
    // Two tests, one at 1e-6: about twice 1e-6, not 1.
    expect(cauchyCombination([1e-6, 1])).toBeCloseTo(2e-6, 9);
  });

  it("nothing to combine, or no p-value, is refused", () => {
    expect(() => cauchyCombination([])).toThrow(RangeError);
    expect(() => cauchyCombination([0.2, Number.NaN])).toThrow(RangeError);
    expect(() => cauchyCombination([-0.2])).toThrow(RangeError);
  });
});
