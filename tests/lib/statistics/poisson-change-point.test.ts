import { describe, expect, it } from "vitest";
import { rateChangeAtEvent, rateChangeInCells } from "@/lib/statistics/poisson-change-point";

describe("rateChangeInCells", () => {
  it("finds where a planted rate drops", () => {
    const found = rateChangeInCells([4, 5, 4, 6, 5, 1, 0, 1, 0, 1]);
    expect(found?.before).toBe(5);
    expect(found?.rateBefore).toBeCloseTo(4.8, 12);
    expect(found?.rateAfter).toBeCloseTo(0.6, 12);
  });

  it("a single cell or no event has no change", () => {
    expect(rateChangeInCells([3])).toBeNull();
    expect(rateChangeInCells([0, 0, 0])).toBeNull();
  });
});

describe("rateChangeAtEvent", () => {
  it("a burst at the start ends with its last event", () => {
    const found = rateChangeAtEvent([1, 2, 3, 4, 60, 90], { start: 0, end: 100 });
    expect(found?.before).toBe(4);
  });

  it("one event is too few, one outside the watch refused", () => {
    expect(rateChangeAtEvent([5], { start: 0, end: 10 })).toBeNull();
    expect(() => rateChangeAtEvent([5, 11], { start: 0, end: 10 })).toThrow(RangeError);
  });
});
