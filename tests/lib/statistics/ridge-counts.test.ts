import { describe, expect, test } from "vitest";
import { ridgeCounts, ridgePredictions } from "@/lib/statistics/ridge-counts";

const SPREAD = { linear: 1.3, quadratic: 0.4 };
const ROWS = 200;
const x = Float64Array.from({ length: 2 * ROWS }, (_, at) => Math.sin(1 + 12.9898 * at) * 1.4);
const offset = Float64Array.from({ length: ROWS }, (_, row) => -1 + 0.5 * Math.cos(row));
// Counts equal to their means, so that the model that made them is the answer itself.
const counts = Float64Array.from({ length: ROWS }, (_, row) =>
  Math.exp((offset[row] ?? 0) + 0.3 + 0.5 * (x[2 * row] ?? 0) - 0.2 * (x[2 * row + 1] ?? 0)),
);
const rows = { x, columns: 2, counts, offset };

describe("regression of counts drawn towards the plain forecast", () => {
  test("gives back the effects the counts were made with when nothing draws them", () => {
    const beta = ridgeCounts(rows, { penalty: 1e-6, interceptPenalty: 1e-6, spread: SPREAD });
    expect([...beta].map((one) => Number(one.toFixed(4)))).toEqual([0.3, 0.5, -0.2]);
  });

  test("a large penalty leaves the plain forecast, moved by its level alone", () => {
    const beta = ridgeCounts(rows, {
      penalty: 1e9,
      interceptPenalty: 1e-6,
      spread: { linear: 1, quadratic: 0 },
    });
    // Without effects the level is ln(sum of counts / sum of plain means).
    const level = Math.log(counts.reduce((a, b) => a + b, 0) / offset.reduce((a, b) => a + Math.exp(b), 0));
    expect(beta[0]).toBeCloseTo(level, 6);
    expect(Math.abs(beta[1] ?? 1)).toBeLessThan(1e-5);
  });

  test("stays finite and small where all events lie in one corner", () => {
    const corner = { ...rows, counts: counts.map((_, row) => ((x[2 * row] ?? 0) > 1.3 ? 5 : 0)) };
    const beta = ridgeCounts(corner, { penalty: 20, interceptPenalty: 5, spread: SPREAD });
    expect([...beta].every((one) => Math.abs(one) < 4)).toBe(true);
    expect(ridgePredictions(corner, beta).every(Number.isFinite)).toBe(true);
  });

  test("no rows give no effects; shapes that do not fit are refused", () => {
    const none = { x: new Float64Array(), columns: 2, counts: new Float64Array(), offset: new Float64Array() };
    expect([...ridgeCounts(none, { penalty: 1, interceptPenalty: 1, spread: SPREAD })]).toEqual([0, 0, 0]);
    const short = { ...rows, offset: new Float64Array(3) };
    expect(() => ridgeCounts(short, { penalty: 1, interceptPenalty: 1, spread: SPREAD })).toThrow(RangeError);
  });
});
