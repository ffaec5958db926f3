import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Foretold } from "@/lib/analyse/forecast/foretold";
import { fitLevelSteps, stepFactor } from "@/lib/analyse/forecast/level-steps";

const DAYS = 90;

function foretoldOf(rows: readonly { readonly mean: number; readonly count: number }[]): Foretold {
  return {
    origin: 0,
    detectors: rows.map((_, row) => row),
    counts: rows.map(({ count }) => count),
    means: rows.map(({ mean }) => mean),
    days: rows.map(() => DAYS),
    doubts: rows.map(() => 0.5),
  };
}

/** Counts spread as chance alone lets them: 20 events of belief are 20 events. */
const chance = { linear: 1, common: 0, own: 0 };

const levelled = (mean: number, steps: ReturnType<typeof fitLevelSteps>) =>
  mean * stepFactor(Math.log(mean / DAYS), steps);

/** Fifths of so many detectors: the lowest said to give 0.1 each and giving half of that, the rest right. */
function quietFleet(each: number) {
  return foretoldOf(
    [0.1, 0.2, 0.4, 0.8, 1.6].flatMap((mean, fifth) =>
      Array.from({ length: each }, (_, row) => {
        const truth = fifth === 0 ? mean / 2 : mean;
        return { mean, count: Math.floor((row + 1) * truth) - Math.floor(row * truth) };
      }),
    ),
  );
}

describe("the level of forecasts by fifths", () => {
  test("quiet detectors said to give twice what came are put right in a large fleet, hardly in a small one", () => {
    // (100 + 20) / (200 + 20) = 0.545 before the total is kept, which lifts all by 80/6,200 or so.
    expect(levelled(0.1, fitLevelSteps([quietFleet(2000)], chance)) / 0.1).toBeCloseTo(0.55, 1);
    expect(levelled(0.1, fitLevelSteps([quietFleet(20)], chance)) / 0.1).toBeGreaterThan(0.93);
  });

  test("the fewer events bursts leave independent, the less is corrected", () => {
    const bursts = fitLevelSteps([quietFleet(2000)], { linear: 5, common: 0, own: 0 });
    // (100 + 100) / (200 + 100) = 0.667.
    expect(levelled(0.1, bursts) / 0.1).toBeGreaterThan(levelled(0.1, fitLevelSteps([quietFleet(2000)], chance)) / 0.1);
  });

  test("forecasts that were right stay as they are; without any there is nothing to correct", () => {
    const right = foretoldOf(Array.from({ length: 500 }, (_, row) => ({ mean: 1 + (row % 5), count: 1 + (row % 5) })));
    for (const { logFactor } of fitLevelSteps([right], chance)) expect(logFactor).toBeCloseTo(0, 9);
    expect(fitLevelSteps([], chance)).toEqual([]);
    expect(fitLevelSteps([foretoldOf([{ mean: 0, count: 0 }])], chance)).toEqual([]);
    expect(stepFactor(-3, [])).toBe(1);
  });

  test("whatever came, the total foretold stays and the order of detectors stands", () => {
    const row = fc.record({ mean: fc.double({ min: 0.001, max: 20, noNaN: true }), count: fc.nat(12) });
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 60 }), (rows) => {
        const steps = fitLevelSteps([foretoldOf(rows)], chance);
        const before = rows.map(({ mean }) => mean).toSorted((a, b) => a - b);
        const after = before.map((mean) => levelled(mean, steps));
        const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
        expect(sum(after) / sum(before)).toBeCloseTo(1, 6);
        for (const [index, mean] of after.entries()) expect(mean).toBeGreaterThanOrEqual(after[index - 1] ?? 0);
      }),
      { numRuns: 100 },
    );
  });
});
