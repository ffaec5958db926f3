import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { fallsToLimitAt, predictOnLastSegment, segmentedLine } from "@/lib/statistics/segmented-line";

const YEAR = 365.25;
const truth = (level: number, t: number) =>
  level - 0.01 * t + 2 * Math.cos((2 * Math.PI * t) / YEAR) - Math.sin((2 * Math.PI * t) / YEAR);
const segment = (level: number, from: number, noise: () => number = () => 0) => {
  const t = Array.from({ length: 40 }, (_, i) => from + 7 * i);
  return { t, y: t.map((day) => truth(level, day) + noise()) };
};

describe("segmentedLine", () => {
  it("tells slope, yearly wave and the level of each segment apart", () => {
    const line = segmentedLine({ segments: [segment(100, 0), segment(104, 300)], period: YEAR });
    expect(line?.slope).toBeCloseTo(-0.01, 9);
    expect(line?.cos).toBeCloseTo(2, 8);
    expect(line?.sin).toBeCloseTo(-1, 8);
    expect(line?.intercepts[1]).toBeCloseTo(104, 8);
    expect(fallsToLimitAt(line!, 60)).toBeCloseTo(4400, 4);
  });

  it("nine in ten new readings fall inside the ninety per cent limits", () => {
    const random = seededChance("limits");
    const noise = () => 2 * (random() + random() + random() - 1.5);
    let inside = 0;
    for (let run = 0; run < 300; run++) {
      const line = segmentedLine({ segments: [segment(100, 0, noise), segment(104, 300, noise)], period: YEAR });
      const ahead = predictOnLastSegment(line!, 650, { level: 0.9 })!;
      const reading = truth(104, 650) + noise();
      if (reading >= ahead.low && reading <= ahead.high) inside++;
    }
    // Three standard errors of 300 runs at .9 are .052.
    expect(inside / 300).toBeGreaterThan(0.848);
    expect(inside / 300).toBeLessThan(0.952);
  });

  it("a rising signal never falls to a limit; too few readings have no line", () => {
    const rising = segmentedLine({ segments: [{ t: [0, 90, 180, 270, 400], y: [60, 61, 62, 63, 65] }], period: YEAR });
    expect(fallsToLimitAt(rising!, 60)).toBeNull();
    expect(segmentedLine({ segments: [{ t: [0, 90, 180], y: [60, 61, 62] }], period: YEAR })).toBeNull();
    expect(segmentedLine({ segments: [], period: YEAR })).toBeNull();
    expect(() => segmentedLine({ segments: [{ t: [], y: [] }], period: YEAR })).toThrow(/segment 0/);
    expect(() => segmentedLine({ segments: [], period: 0 })).toThrow(/period/);
  });
});
