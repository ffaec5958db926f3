import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { meanCumulativeFunction } from "@/lib/statistics/mean-cumulative-function";

describe("meanCumulativeFunction", () => {
  it("units watched alike: the last value is events per unit", () => {
    const events = fc.array(fc.array(fc.integer({ min: 1, max: 99 }), { maxLength: 5 }), {
      minLength: 1,
      maxLength: 12,
    });
    fc.assert(
      fc.property(events, (perUnit) => {
        const mcf = meanCumulativeFunction(perUnit.map((own) => ({ watched: [[0, 100]], events: own })));
        const total = perUnit.reduce((sum, own) => sum + own.length, 0);
        expect(mcf.mean.at(-1) ?? 0).toBeCloseTo(total / perUnit.length, 10);
      }),
    );
  });

  it("events outside the watch are left out, and a gap in the watch is no exposure", () => {
    const mcf = meanCumulativeFunction([
      {
        watched: [
          [0, 10],
          [20, 30],
        ],
        events: [5, 15, 25],
      },
      { watched: [[0, 30]], events: [16] },
    ]);
    expect(mcf.time).toEqual([5, 16, 25]);
    expect(mcf.atRisk).toEqual([2, 1, 2]);
    expect(mcf.mean.map((m) => Number(m.toFixed(6)))).toEqual([0.5, 1.5, 2]);
  });

  it("units that all behave alike have no robust error", () => {
    const mcf = meanCumulativeFunction([1, 2, 3].map(() => ({ watched: [[0, 10]] as const, events: [2, 4] })));
    expect(mcf.standardError).toEqual([0, 0]);
  });

  it("no unit and no event give empty curves", () => {
    expect(meanCumulativeFunction([]).time).toEqual([]);
    expect(meanCumulativeFunction([{ watched: [[0, 10]], events: [] }]).mean).toEqual([]);
    expect(() => meanCumulativeFunction([], { level: 0 })).toThrow(/level/);
  });
});
