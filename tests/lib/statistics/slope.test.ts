import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { inversionsCdf, mannKendall } from "@/lib/statistics/mann-kendall";
import { segmentedTheilSen, theilSen } from "@/lib/statistics/slope";

const value = fc.integer({ min: 60, max: 110 });
const series = fc.array(value, { minLength: 2, maxLength: 25 }).map((y) => ({ t: y.map((_, i) => 7 * i), y }));

describe("theilSen", () => {
  it("a straight line is found exactly, one bad reading does not move it", () => {
    const t = Array.from({ length: 21 }, (_, i) => i);
    const y = t.map((day) => 98 - 0.25 * day);
    expect(theilSen({ t, y })).toMatchObject({ slope: -0.25, low: -0.25, high: -0.25, intercept: 98 });
    y[10] = 20;
    expect(theilSen({ t, y }).slope).toBeCloseTo(-0.25, 12);
  });

  it("the limits hold the slope; adding a line adds its slope; order of readings does not matter", () => {
    fc.assert(
      fc.property(series, ({ t, y }) => {
        const found = theilSen({ t: Object.freeze([...t]), y: Object.freeze([...y]) });
        expect(found.low!).toBeLessThanOrEqual(found.slope! + 1e-12);
        expect(found.high!).toBeGreaterThanOrEqual(found.slope! - 1e-12);
        const tilted = theilSen({ t, y: y.map((v, i) => v + 0.5 * t[i]!) });
        expect(tilted.slope!).toBeCloseTo(found.slope! + 0.5, 9);
        expect(theilSen({ t: [...t].reverse(), y: [...y].reverse() })).toMatchObject({
          slope: found.slope,
          s: found.s,
        });
      }),
    );
  });

  it("the slope is the median of all pairwise slopes", () => {
    fc.assert(
      fc.property(series, ({ t, y }) => {
        const slopes = t
          .flatMap((tj, j) => t.slice(0, j).map((ti, i) => (y[j]! - y[i]!) / (tj - ti)))
          .sort((a, b) => a - b);
        const middle = (slopes[(slopes.length - 1) >> 1]! + slopes[slopes.length >> 1]!) / 2;
        expect(theilSen({ t, y }).slope!).toBeCloseTo(middle, 12);
      }),
    );
  });

  it("readings at one moment only have no slope", () => {
    expect(theilSen({ t: [3, 3], y: [90, 95] })).toMatchObject({ slope: null, low: null, high: null, intercept: null });
    expect(theilSen({ t: [], y: [] })).toMatchObject({ slope: null, z: 0, nSlopes: 0 });
  });

  it("a series that never changes has slope zero and no evidence", () => {
    const flat = theilSen({ t: [1, 2, 3, 4], y: [97, 97, 97, 97] });
    expect(flat).toMatchObject({ slope: 0, varS: 0, z: 0, pTwoSided: 1 });
  });

  it("unequal lengths, holes and impossible levels are refused", () => {
    expect(() => theilSen({ t: [1], y: [] })).toThrow(RangeError);
    expect(() => theilSen({ t: [1, 2], y: [1, Number.NaN] })).toThrow(/finite/);
    expect(() => theilSen({ t: [1, 2], y: [1, 2] }, { level: 1.5 })).toThrow(/level/);
  });
});

describe("segmentedTheilSen", () => {
  it("a reset between segments does not hide the drift inside them", () => {
    const falling = (from: number) => ({ t: [0, 30, 60, 90].map((d) => d + from), y: [99, 98, 97, 96] });
    const segments = [falling(0), falling(100), falling(200)];
    expect(segmentedTheilSen({ segments }).slope).toBeCloseTo(-1 / 30, 12);
    const all = { t: segments.flatMap((s) => s.t), y: segments.flatMap((s) => s.y) };
    expect(theilSen(all).slope!).toBeGreaterThan(-1 / 60);
  });

  it("scores and variances add over segments; moving a segment in time or level changes nothing", () => {
    fc.assert(
      fc.property(series, series, fc.integer({ min: -500, max: 500 }), (a, b, shift) => {
        const both = segmentedTheilSen({ segments: [a, b] });
        expect(both.s).toBe(mannKendall(a).s + mannKendall(b).s);
        expect(both.varS).toBeCloseTo(mannKendall(a).varS + mannKendall(b).varS, 9);
        const moved = { t: b.t.map((t) => t + shift), y: b.y.map((y) => y + shift) };
        expect(segmentedTheilSen({ segments: [a, moved] })).toEqual(both);
      }),
    );
  });

  it("single readings between two resets add nothing", () => {
    const line = { t: [0, 10, 20], y: [99, 98, 96] };
    expect(segmentedTheilSen({ segments: [line, { t: [30], y: [70] }] })).toEqual(
      segmentedTheilSen({ segments: [line] }),
    );
    expect(segmentedTheilSen({ segments: [] })).toMatchObject({ slope: null, nSlopes: 0, pTwoSided: 1 });
  });
});

describe("mannKendall", () => {
  it("falling and rising chances mirror when the values do", () => {
    fc.assert(
      fc.property(series, ({ t, y }) => {
        const down = mannKendall({ t, y });
        const up = mannKendall({ t, y: y.map((v) => -v) });
        expect(up.pRising).toBeCloseTo(down.pFalling, 12);
        expect(up.tauB === null ? null : -up.tauB).toEqual(down.tauB === null ? null : expect.closeTo(down.tauB, 12));
      }),
    );
  });

  it("the exact chance of a perfect order of five is two in 120", () => {
    expect(mannKendall({ t: [1, 2, 3, 4, 5], y: [5, 4, 3, 2, 1] }).pTwoSidedExact).toBeCloseTo(2 / 120, 12);
    expect(inversionsCdf(10, 5)).toBe(1);
    expect(inversionsCdf(-1, 5)).toBe(0);
    expect(() => inversionsCdf(1, 0)).toThrow(RangeError);
  });
});
