import { describe, expect, it } from "vitest";
import { harmonicPoisson } from "@/lib/statistics/harmonic-poisson";
import { poissonDeviance, poissonRegression } from "@/lib/statistics/poisson-regression";

const MONTHS = Array.from({ length: 48 }, (_, i) => ((i + 0.5) / 12) * 2 * Math.PI);

describe("harmonicPoisson", () => {
  it("gives back a planted season: counts equal to their mean leave no deviance", () => {
    const exposure = MONTHS.map((_, i) => 20 + (i % 5));
    const counts = MONTHS.map((angle, i) => exposure[i]! * Math.exp(-1 + 0.6 * Math.cos(angle - 2)));
    const found = harmonicPoisson({ counts, exposure, angles: MONTHS, harmonics: 1 });
    expect(found?.amplitude).toBeCloseTo(0.6, 8);
    expect(found?.peakAngle).toBeCloseTo(2, 8);
    expect(found?.peakToTroughRatio).toBeCloseTo(Math.exp(1.2), 7);
    expect(found?.fit.deviance).toBeCloseTo(0, 8);
  });

  it("all alarms in one month run away: no fit instead of a huge season", () => {
    const counts = MONTHS.map((_, i) => (i % 12 === 3 ? 2 : 0));
    expect(harmonicPoisson({ counts, exposure: MONTHS.map(() => 30), angles: MONTHS, harmonics: 1 })).toBeNull();
  });

  it("no event at all has no fit", () => {
    const counts = MONTHS.map(() => 0);
    expect(harmonicPoisson({ counts, exposure: MONTHS.map(() => 30), angles: MONTHS, harmonics: 1 })).toBeNull();
  });

  it("a month without exposure is refused: it must be left out", () => {
    const zero = MONTHS.map((_, i) => (i === 0 ? 0 : 1));
    expect(() => harmonicPoisson({ counts: zero, exposure: zero, angles: MONTHS, harmonics: 1 })).toThrow(/exposure/);
    expect(() => harmonicPoisson({ counts: zero, exposure: zero, angles: [], harmonics: 1 })).toThrow(/angles/);
    expect(() => harmonicPoisson({ counts: zero, exposure: zero, angles: MONTHS, harmonics: 0 })).toThrow(/harmonics/);
  });
});

describe("poissonRegression", () => {
  it("an intercept alone is the log of the pooled rate with error one over root n", () => {
    const counts = [3, 0, 2, 5];
    const exposure = [10, 20, 5, 15];
    const fit = poissonRegression({ x: counts.map(() => [1]), counts, exposure });
    expect(fit?.coefficients[0]).toBeCloseTo(Math.log(10 / 50), 12);
    expect(fit?.standardErrors[0]).toBeCloseTo(1 / Math.sqrt(10), 10);
    expect(fit?.deviance).toBeCloseTo(
      poissonDeviance(
        counts,
        exposure.map((e) => e / 5),
      ),
      10,
    );
  });
});
