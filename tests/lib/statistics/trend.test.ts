import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { laplaceTest, milHandbook189, sumOfLogs, uniformSumUpper } from "@/lib/statistics/trend";

const time = fc.double({ min: 1e-9, max: 1, noNaN: true });
const times = fc.array(time, { minLength: 1, maxLength: 60 });

describe("laplaceTest", () => {
  it("no event says nothing: z null, p one", () => {
    expect(laplaceTest([])).toEqual({ n: 0, z: null, pRising: 1, pRisingNormal: 1 });
  });

  it("one event's p is the share of exposure after it", () => {
    fc.assert(
      fc.property(time, (u) => {
        expect(laplaceTest([u]).pRising).toBeCloseTo(1 - u, 12);
      }),
    );
  });

  it("mirrored in time, rising and falling change places", () => {
    fc.assert(
      fc.property(times, (u) => {
        const mirrored = u.map((t) => 1 - t);
        expect(laplaceTest(u).pRising + laplaceTest(mirrored).pRising).toBeCloseTo(1, 9);
      }),
    );
  });

  it("moving an event later never weakens the evidence, order does not matter, the list is left alone", () => {
    fc.assert(
      fc.property(times, time, (u, later) => {
        const moved = [...u.slice(1), Math.max(u[0]!, later)];
        expect(laplaceTest(moved).pRising).toBeLessThanOrEqual(laplaceTest(Object.freeze([...u])).pRising + 1e-12);
        expect(laplaceTest([...u].reverse()).pRising).toBeCloseTo(laplaceTest(u).pRising, 9);
      }),
    );
  });

  it("a time outside the watch is refused", () => {
    expect(() => laplaceTest([0.2, 1.01])).toThrow(RangeError);
    expect(() => laplaceTest([Number.NaN])).toThrow(RangeError);
  });
});

describe("uniformSumUpper", () => {
  it("the far end is the n-th power over n factorial, exactly", () => {
    // P(S >= n - x) = x^n / n! for x <= 1
    expect(uniformSumUpper(7.5, 8) / (0.5 ** 8 / 40_320)).toBeCloseTo(1, 13);
    expect(uniformSumUpper(3, 3)).toBe(0);
    expect(uniformSumUpper(0, 3)).toBe(1);
  });

  it("half the sums lie above the middle, for any number of uniforms", () => {
    for (const n of [1, 2, 7, 40, 199, 200, 201, 1000]) expect(uniformSumUpper(n / 2, n)).toBeCloseTo(0.5, 10);
  });

  it("beyond the exact range the tail goes on smoothly: neighbours differ by less than a percent", () => {
    for (const z of [0.5, 1.5, 2.5, 4, 6, 9]) {
      const tail = (n: number) => uniformSumUpper(n / 2 + z * Math.sqrt(n / 12), n);
      expect(tail(201) / tail(200)).toBeGreaterThan(0.99);
      expect(tail(201) / tail(200)).toBeLessThan(1.01);
    }
  });

  it("agrees with drawn sums", () => {
    const random = seededChance("uniform sums");
    let above = 0;
    for (let i = 0; i < 20_000; i++) if (random() + random() + random() + random() + random() >= 3.2) above++;
    const p = uniformSumUpper(3.2, 5);
    expect(Math.abs(above / 20_000 - p)).toBeLessThan(4 * Math.sqrt((p * (1 - p)) / 20_000));
  });
});

describe("milHandbook189", () => {
  it("rising and falling chances add up to one; no event says nothing", () => {
    fc.assert(
      fc.property(times, (u) => {
        const { pRising, pFalling, df } = milHandbook189(u);
        expect(pRising + pFalling).toBeCloseTo(1, 12);
        expect(df).toBe(2 * u.length);
      }),
    );
    expect(milHandbook189([])).toMatchObject({ pRising: 1, pFalling: 1, pTwoSided: 1 });
  });

  it("an event at the very first moment has no logarithm and is refused", () => {
    expect(() => milHandbook189([0, 0.5])).toThrow(RangeError);
    expect(sumOfLogs([1, 1])).toBeCloseTo(0, 15);
  });
});
