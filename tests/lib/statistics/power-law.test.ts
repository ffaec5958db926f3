import { describe, expect, it } from "vitest";
import { logLinearTrend } from "@/lib/statistics/log-linear-trend";
import { groupedPowerLaw, meanTimeAtEnd, powerLaw, powerLawDistance } from "@/lib/statistics/power-law";

describe("powerLaw", () => {
  it("the unit of time changes the rates but not the exponent", () => {
    const hours = powerLaw({ times: [120, 500, 900, 1400], end: 1500 });
    const days = powerLaw({ times: [5, 500 / 24, 37.5, 1400 / 24], end: 62.5 });
    expect(days?.betaMle).toBeCloseTo(hours?.betaMle ?? 0, 12);
    expect(days?.intensityAtEnd).toBeCloseTo(24 * (hours?.intensityAtEnd ?? 0), 12);
  });

  it("nothing to fit gives null, not a number", () => {
    expect(powerLaw({ times: [], end: 10 })).toBeNull();
    expect(powerLaw({ times: [10], end: 10 })).toBeNull();
    expect(powerLawDistance({ times: [], end: 10 })).toBeNull();
    expect(meanTimeAtEnd({ times: [4], end: 10 }, { level: 0.8 })).toBeNull();
    expect(groupedPowerLaw({ ends: [1, 2], counts: [0, 0] })).toBeNull();
    expect(groupedPowerLaw({ ends: [1, 2], counts: [0, 3] })).toBeNull();
  });

  it("impossible watches are refused", () => {
    expect(() => powerLaw({ times: [0], end: 10 })).toThrow(RangeError);
    expect(() => powerLaw({ times: [11], end: 10 })).toThrow(RangeError);
    expect(() => groupedPowerLaw({ ends: [2, 1], counts: [1, 1] })).toThrow(/rise/);
  });
});

describe("logLinearTrend", () => {
  it("times mirrored in the middle give no slope and p one", () => {
    const fit = logLinearTrend([0.1, 0.3, 0.7, 0.9]);
    expect(fit?.b).toBeCloseTo(0, 9);
    expect(fit?.pTwoSided).toBeCloseTo(1, 6);
    expect(fit?.low).toBeLessThan(0);
    expect(fit?.high).toBeGreaterThan(0);
  });

  it("events close to the end give a steep but finite slope; all on the end none", () => {
    const fit = logLinearTrend([0.999, 0.9995]);
    expect(fit?.b).toBeGreaterThan(1000);
    expect(fit?.low).toBeLessThan(fit?.b ?? 0);
    expect(logLinearTrend([1, 1])).toBeNull();
    expect(logLinearTrend([])).toBeNull();
    expect(() => logLinearTrend([1.5])).toThrow(RangeError);
  });
});
