import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { benjaminiHochberg, benjaminiYekutieli, bonferroni, holm } from "@/lib/statistics/benjamini-hochberg";

const pValues = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 60 });

describe("benjaminiHochberg", () => {
  it("no q-value lies below its p-value or above one", () => {
    fc.assert(
      fc.property(pValues, (p) => {
        for (const [i, q] of benjaminiHochberg(p).entries()) {
          expect(q).toBeGreaterThanOrEqual(p[i]!);
          expect(q).toBeLessThanOrEqual(1);
        }
      }),
    );
  });

  it("a smaller p-value never has the larger q-value", () => {
    fc.assert(
      fc.property(pValues, (p) => {
        const q = benjaminiHochberg(p);
        const order = [...p.keys()].sort((a, b) => p[a]! - p[b]!);
        for (let i = 1; i < order.length; i++) expect(q[order[i]!]!).toBeGreaterThanOrEqual(q[order[i - 1]!]!);
      }),
    );
  });

  it("the answer follows its p-value wherever it stands in the list, and the list is left alone", () => {
    fc.assert(
      fc.property(pValues, (p) => {
        const forward = benjaminiHochberg(Object.freeze([...p]));
        const backward = benjaminiHochberg([...p].reverse());
        for (const [i, q] of backward.reverse().entries()) expect(q).toBeCloseTo(forward[i]!, 14);
      }),
    );
  });

  it("the adjustments stand in order: plain, false-discovery, Holm or Bonferroni, any dependence", () => {
    fc.assert(
      fc.property(pValues, (p) => {
        const fdr = benjaminiHochberg(p);
        const family = holm(p);
        const worst = bonferroni(p);
        const dependent = benjaminiYekutieli(p);
        for (const i of p.keys()) {
          expect(family[i]!).toBeGreaterThanOrEqual(fdr[i]! * (1 - 1e-12));
          expect(worst[i]!).toBeGreaterThanOrEqual(family[i]! * (1 - 1e-12));
          expect(dependent[i]!).toBeGreaterThanOrEqual(fdr[i]! * (1 - 1e-12));
        }
      }),
    );
  });

  it("an empty list stays empty, one test is left as it is", () => {
    expect(benjaminiHochberg([])).toEqual([]);
    expect(benjaminiHochberg([0.04])).toEqual([0.04]);
  });

  it("what is no p-value is refused", () => {
    for (const p of [Number.NaN, -0.1, 1.1]) {
      expect(() => benjaminiHochberg([0.5, p])).toThrow(RangeError);
      expect(() => holm([p])).toThrow(RangeError);
    }
  });
});
