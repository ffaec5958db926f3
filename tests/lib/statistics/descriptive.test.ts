import { describe, expect, it } from "vitest";
import { meanOf, medianOf, medianOfSorted, varianceOf } from "@/lib/statistics/descriptive";

describe("descriptive statistics", () => {
  it("say nothing of no values", () => {
    expect([meanOf([]), varianceOf([]), medianOf([]), medianOfSorted([])]).toEqual([null, null, null, null]);
  });

  it("take the middle of an even number of values halfway, and leave the list as it was", () => {
    const values = Object.freeze([9, 1, 4, 2]);
    expect(medianOf(values)).toBe(3);
    expect(medianOfSorted(Float64Array.from([1, 2, 4]))).toBe(2);
    expect(medianOfSorted([1, 2, 4, 9])).toBe(3);
  });

  it("keep the digits that a plain sum would lose", () => {
    // Ten times 0.1 is not 1 in plain double sums (0.9999999999999999); the mean of ten tenths is a tenth.
    expect(meanOf(Array.from({ length: 10 }, () => 0.1))).toBe(0.1);
    expect(varianceOf([1, 2, 3, 4])).toBe(1.25);
  });
});
