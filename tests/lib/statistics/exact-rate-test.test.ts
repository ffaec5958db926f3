import { describe, expect, it } from "vitest";
import { binomialPmf } from "@/lib/statistics/distributions";
import { exactRateRatioTest, exactRateTest, shareTest } from "@/lib/statistics/exact-rate-test";

describe("exactRateRatioTest", () => {
  it("two-sided p adds every outcome no likelier than the one observed", () => {
    for (let n = 1; n <= 14; n++) {
      for (let x = 0; x <= n; x++) {
        const found = exactRateRatioTest({
          recent: { count: x, exposure: 3 },
          baseline: { count: n - x, exposure: 7 },
        });
        const chances = Array.from({ length: n + 1 }, (_, k) => binomialPmf(k, { n, p: 0.3 }));
        const direct = chances
          .filter((chance) => chance <= chances[x]! * (1 + 1e-7))
          .reduce((sum, chance) => sum + chance, 0);
        expect(found.p).toBeCloseTo(Math.min(1, direct), 10);
      }
    }
  });

  it("without any event every p is one", () => {
    const none = { count: 0, exposure: 10 };
    expect(exactRateRatioTest({ recent: none, baseline: none })).toMatchObject({ p: 1, low: 0, high: Infinity });
  });
});

describe("exactRateTest", () => {
  it("one-sided limits leave the whole tail on one side", () => {
    const both = exactRateTest({ count: 4, exposure: 10 }, { level: 0.9 });
    const greater = exactRateTest({ count: 4, exposure: 10 }, { level: 0.95, alternative: "greater" });
    const less = exactRateTest({ count: 4, exposure: 10 }, { level: 0.95, alternative: "less" });
    expect(greater.low).toBeCloseTo(both.low, 12);
    expect(greater.high).toBe(Infinity);
    expect(less.high).toBeCloseTo(both.high, 12);
    expect(less.low).toBe(0);
  });

  it("impossible counts and exposures are refused", () => {
    expect(() => exactRateTest({ count: -1, exposure: 10 })).toThrow(/count/);
    expect(() => exactRateTest({ count: 1, exposure: 0 })).toThrow(/exposure/);
  });
});

describe("shareTest", () => {
  it("three of four inside a window of three per cent of the time is about one in ten thousand", () => {
    // 4 (.03^3) (.97) + .03^4 = 1.0557e-4
    expect(shareTest({ count: 3, n: 4, p: 0.03, level: 0.95 }).pGreater).toBeCloseTo(1.0557e-4, 8);
  });

  it("no event leaves the share open", () => {
    expect(shareTest({ count: 0, n: 0, p: 0.03, level: 0.95 })).toEqual({ share: null, low: 0, high: 1, pGreater: 1 });
  });

  it("more inside than there are is refused", () => {
    expect(() => shareTest({ count: 5, n: 4, p: 0.5, level: 0.95 })).toThrow(RangeError);
  });
});
