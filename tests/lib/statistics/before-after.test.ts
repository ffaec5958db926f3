import { describe, expect, it } from "vitest";
import { effectRatio, expectedAfter } from "@/lib/statistics/before-after";

describe("expectedAfter", () => {
  it("the worst detectors are expected to improve by themselves", () => {
    const after = { count: 4, exposure: 365 };
    const found = expectedAfter({ before: { count: 9, exposure: 365 }, after }, { shape: 0.8, rate: 292 });
    // (0.8 + 9) / (292 + 365) * 365 = 5.444: not the 9 of the year before.
    expect(found.expected).toBeCloseTo(5.4444, 3);
  });

  it("impossible priors and exposures are refused", () => {
    const one = { count: 1, exposure: 10 };
    expect(() => expectedAfter({ before: one, after: one }, { shape: Infinity, rate: Infinity })).toThrow(/prior/);
    expect(() => expectedAfter({ before: { count: 1, exposure: -1 }, after: one }, { shape: 1, rate: 1 })).toThrow(
      /exposure/,
    );
  });
});

describe("effectRatio", () => {
  it("a certain expectation gives the plain ratio with Poisson error", () => {
    const found = effectRatio({ observed: 4, expected: 8, variance: 0 });
    expect(found).toMatchObject({ theta: 0.5, standardError: 0.25 });
  });

  it("nothing seen after has no error to state; nothing expected has no ratio", () => {
    expect(effectRatio({ observed: 0, expected: 3, variance: 1 })).toMatchObject({ theta: 0, standardError: null });
    expect(effectRatio({ observed: 2, expected: 0, variance: 0 })).toBeNull();
    expect(() => effectRatio({ observed: 2, expected: 1, variance: 0, level: 2 })).toThrow(/level/);
  });
});
