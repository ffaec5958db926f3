import { describe, expect, test } from "vitest";
import { readLiftMonths } from "@/tests/opendata/convert";
import { bootstrapShares, decileShare, groupBy, meanShares, quarterAfter } from "@/tests/opendata/quarters";

const months = readLiftMonths();

describe("what the top decile of a quarter held", () => {
  test("counting 12 months up to February 2025 found 23.6 % of the next three months' outages; perfect knowledge 36.0 %", () => {
    // Figures of an earlier measurement of the same file with another program: lifts listed in all fifteen months.
    const quarter = quarterAfter("2025-02", months);
    const listed = groupBy(
      months.filter((one) => one.month > "2024-02"),
      (one) => one.lift,
    );
    const machines = quarter.machines.filter((machine) => listed.get(machine)?.length === 15);
    const { counted, outcome } = quarter;
    expect(machines).toHaveLength(364);
    expect(100 * decileShare(machines, { scores: counted, outcome })).toBeCloseTo(23.6, 1);
    expect(100 * decileShare(machines, { scores: outcome, outcome })).toBeCloseTo(36.0, 1);
  });

  test("a quarter knows nothing after its first day", () => {
    const { asOfOn, counted } = quarterAfter("2023-03", months);
    expect(asOfOn).toBe("2023-03-31");
    const later = months.map((one) => (one.month > "2023-03" ? { ...one, unscheduled: 99 } : one));
    expect(quarterAfter("2023-03", later).counted).toEqual(counted);
  });

  test("of ten machines the worst one is the decile, and ties go by id", () => {
    const machines = ["b", "a", "c", "d", "e", "f", "g", "h", "i", "j"];
    const outcome = new Map(machines.map((machine, index) => [machine, index === 1 ? 3 : 1]));
    // a holds 3 of 12.
    expect(decileShare(machines, { scores: new Map(), outcome })).toBe(0.25);
    expect(decileShare(machines, { scores: new Map([["b", 1]]), outcome })).toBe(1 / 12);
  });

  test("the bootstrap interval holds the share itself and is the same for the same seed", () => {
    const quarter = quarterAfter("2024-06", months);
    const scored = [{ quarter, scores: { counted: quarter.counted, perfect: quarter.outcome } }];
    const options = { draws: 200, seed: "interval", pairs: [["counted", "perfect"]] } as const;
    const intervals = bootstrapShares(scored, options);
    const shares = meanShares(scored);
    expect(intervals.counted?.low).toBeLessThan(shares.counted ?? 0);
    expect(intervals.counted?.high).toBeGreaterThan(shares.counted ?? 1);
    expect(intervals["counted - perfect"]?.high).toBeLessThan(0);
    expect(bootstrapShares(scored, options)).toEqual(intervals);
  });
});
