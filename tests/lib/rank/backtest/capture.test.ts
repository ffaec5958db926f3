import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { costHeld, countOfShare } from "@/lib/rank/backtest/capture";

const detectors = [
  { score: 1, cost: 10 },
  { score: 3, cost: 40 },
  { score: 3, cost: 20 },
  { score: 2, cost: 30 },
];

describe("the cost held by the first detectors", () => {
  it("is that of the highest scores", () => {
    expect(costHeld(detectors, 2)).toBe(60);
    expect(costHeld(detectors, 3)).toBe(90);
    expect(costHeld(detectors, 0)).toBe(0);
  });

  it("takes of a tie that the count cuts the expected part: one of 40 and 20 holds 30", () => {
    expect(costHeld(detectors, 1)).toBe(30);
  });

  it("knows detectors without a value, which come last whatever their order", () => {
    const unknown = { score: -Infinity, cost: 100 };
    expect(costHeld([unknown, { score: -5, cost: 1 }, { ...unknown, cost: 0 }], 2)).toBe(51);
  });

  it("refuses a score that is no number and more detectors than there are", () => {
    expect(() => costHeld([{ score: Number.NaN, cost: 1 }, ...detectors], 1)).toThrow(RangeError);
    expect(() => costHeld(detectors, 5)).toThrow(/count outside 0\.\.4: 5/);
  });

  const fleets = fc.array(fc.record({ score: fc.integer({ min: 0, max: 4 }), cost: fc.integer({ min: 0, max: 50 }) }), {
    minLength: 1,
    maxLength: 30,
  });

  it("never falls with more detectors, ends at all of it, and does not depend on the order they come in", () => {
    fc.assert(
      fc.property(fleets, (fleet) => {
        const held = fleet.map((_, index) => costHeld(fleet, index + 1));
        for (const [index, value] of held.entries())
          expect(value).toBeGreaterThanOrEqual((held[index - 1] ?? 0) - 1e-9);
        expect(held.at(-1)).toBeCloseTo(
          fleet.reduce((sum, { cost }) => sum + cost, 0),
          9,
        );
        expect(fleet.map((_, index) => costHeld([...fleet].reverse(), index + 1))).toEqual(
          held.map((value) => expect.closeTo(value, 9)),
        );
      }),
    );
  });

  it("is never more than perfect knowledge holds, and with equal scores what drawing lots holds", () => {
    fc.assert(
      fc.property(fleets, fc.nat(), (fleet, pick) => {
        const count = pick % (fleet.length + 1);
        const perfect = costHeld(
          fleet.map(({ cost }) => ({ score: cost, cost })),
          count,
        );
        expect(costHeld(fleet, count)).toBeLessThanOrEqual(perfect + 1e-9);
        const lots = costHeld(
          fleet.map(({ cost }) => ({ score: 7, cost })),
          count,
        );
        const total = fleet.reduce((sum, { cost }) => sum + cost, 0);
        expect(lots).toBeCloseTo((total * count) / fleet.length, 9);
      }),
    );
  });
});

describe("the count a share of detectors is", () => {
  it("is the nearest whole number and at least one", () => {
    expect([0.02, 0.05, 0.1, 0.2].map((share) => countOfShare(share, 60))).toEqual([1, 3, 6, 12]);
    expect(countOfShare(0.02, 3)).toBe(1);
    expect(countOfShare(0.02, 0)).toBe(0);
  });
});
