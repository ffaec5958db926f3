import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { columnsOf, monthTicks, roundTicks, scaleOf } from "@/app/detectors/[detectorId]/_parts/timeline-scale";
import { DAY_MS } from "@/lib/kernel/units";

const width = 100;

describe("the timeline's drawing", () => {
  it("never has more than two points a pixel and keeps every extreme, whatever the data", () => {
    const value = fc.double({ min: 0, max: 400, noNaN: true });
    fc.assert(
      fc.property(fc.array(value, { minLength: 1, maxLength: 2000 }), (values) => {
        const samples = values.map((mid, index) => ({ at: index * DAY_MS, low: mid - 1, mid, high: mid + 2 }));
        const x = scaleOf([0, Math.max(1, values.length - 1) * DAY_MS], [0, width]);
        const columns = columnsOf(samples, { x, gapMs: 3 * DAY_MS }).flat();
        expect(columns.length).toBeLessThanOrEqual(width + 1);
        expect(columns.every((column) => column.line.length <= 2)).toBe(true);
        expect(Math.max(...columns.flatMap((column) => column.line))).toBe(Math.max(...values));
        expect(Math.min(...columns.flatMap((column) => column.line))).toBe(Math.min(...values));
        expect(Math.max(...columns.map((column) => column.high))).toBe(Math.max(...values) + 2);
      }),
    );
  });

  it("a gap in the readings is not drawn over", () => {
    const at = [0, 1, 2, 30, 31].map((day) => day * DAY_MS);
    const samples = at.map((moment) => ({ at: moment, low: 90, mid: 95, high: 99 }));
    const runs = columnsOf(samples, { x: scaleOf([0, 31 * DAY_MS], [0, 310]), gapMs: 3 * DAY_MS });
    expect(runs.map((run) => run.length)).toEqual([3, 2]);
  });

  it("months begin at midnight of the site, not of the server", () => {
    const span = { fromAt: Date.UTC(2025, 11, 15), toAt: Date.UTC(2026, 3, 2) };
    const ticks = monthTicks(span, { zone: "Europe/Helsinki", most: 12 });
    expect(ticks.map(({ month }) => month)).toEqual(["2026-01", "2026-02", "2026-03", "2026-04"]);
    // Helsinki is two hours ahead of UTC in winter and three in summer.
    expect(ticks[0]?.at).toBe(Date.UTC(2025, 11, 31, 22));
    expect(ticks[3]?.at).toBe(Date.UTC(2026, 2, 31, 21));
  });

  it("long spans show fewer months", () => {
    const span = { fromAt: Date.UTC(2020, 0, 1), toAt: Date.UTC(2026, 0, 1) };
    expect(monthTicks(span, { zone: "UTC", most: 8 }).map(({ month }) => month)).toEqual([
      "2020-01",
      "2021-01",
      "2022-01",
      "2023-01",
      "2024-01",
      "2025-01",
      "2026-01",
    ]);
  });

  it("value ticks are round numbers inside the range", () => {
    expect(roundTicks(43, 112, 4)).toEqual([60, 80, 100]);
    expect(roundTicks(0, 100, 4)).toEqual([0, 25, 50, 75, 100]);
    expect(roundTicks(5, 5, 4)).toEqual([5]);
  });
});
