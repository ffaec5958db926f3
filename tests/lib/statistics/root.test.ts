import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { findRoot } from "@/lib/statistics/root";

describe("findRoot", () => {
  it("finds the root of a rising cubic wherever it lies, in few calls", () => {
    fc.assert(
      fc.property(fc.double({ min: -50, max: 50, noNaN: true }), (root) => {
        let calls = 0;
        const f = (x: number) => {
          calls++;
          return (x - root) * (1 + (x - root) ** 2);
        };
        expect(findRoot(f, { low: -60, high: 70 })).toBeCloseTo(root, 9);
        expect(calls).toBeLessThan(60);
      }),
    );
  });

  it("a root at an end is found, a missing change of sign refused", () => {
    expect(findRoot((x) => x, { low: 0, high: 1 })).toBe(0);
    expect(() => findRoot((x) => x * x + 1, { low: -1, high: 1 })).toThrow(/sign/);
  });
});
