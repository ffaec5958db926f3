import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { medianInPlace, rankInPlace, selectInPlace } from "@/lib/statistics/order-statistics";

const values = fc.array(fc.integer({ min: -9, max: 9 }), { minLength: 1, maxLength: 60 });

describe("order statistics", () => {
  it("the k-th smallest is what sorting gives, for every k", () => {
    fc.assert(
      fc.property(values, (list) => {
        const sorted = [...list].sort((a, b) => a - b);
        for (const k of list.keys()) expect(selectInPlace(Float64Array.from(list), k)).toBe(sorted[k]);
      }),
    );
  });

  it("a fractional rank lies between its neighbours and is clamped to the ends", () => {
    const list = () => Float64Array.from([5, 1, 3]);
    expect(rankInPlace(list(), 1.5)).toBe(2);
    expect(rankInPlace(list(), -4)).toBe(1);
    expect(rankInPlace(list(), 9)).toBe(5);
  });

  it("the median of an even list is the middle of the two, of none null", () => {
    expect(medianInPlace(Float64Array.from([4, 1, 3, 2]))).toBe(2.5);
    expect(medianInPlace(new Float64Array(0))).toBeNull();
    expect(() => selectInPlace(new Float64Array(2), 2)).toThrow(RangeError);
  });
});
