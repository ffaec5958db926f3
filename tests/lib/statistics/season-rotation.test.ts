import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { rotationTest } from "@/lib/statistics/season-rotation";

describe("rotationTest", () => {
  const test = (periods: readonly (readonly number[])[]) =>
    rotationTest({ periods, draws: 1999, random: seededChance(5) });

  it("one bad year is no season, however many alarms it had", () => {
    expect(test([[1, 1, 1, 1, 1, 1, 1], []])).toBe(1);
  });

  it("five years that point the same way are one", () => {
    expect(test([[1], [1.1], [0.9, 1.2], [1], [1.05]])).toBeLessThan(0.01);
  });

  it("years that point against each other are none", () => {
    expect(test([[0], [Math.PI / 2], [Math.PI], [(3 * Math.PI) / 2]])).toBeGreaterThan(0.9);
  });

  it("impossible draws and angles are refused", () => {
    expect(() => rotationTest({ periods: [[1], [2]], draws: 0, random: seededChance(1) })).toThrow(/draws/);
    expect(() => test([[Number.NaN], [1]])).toThrow(/angle/);
  });
});
