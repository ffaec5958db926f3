import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { gammaQuantile, poissonQuantile } from "@/lib/statistics/distributions";
import { fitGammaPoisson, forecastCount, gammaPoissonLogLikelihood, posteriorRate } from "@/lib/statistics/shrinkage";

const counts = fc.array(fc.integer({ min: 0, max: 15 }), { minLength: 2, maxLength: 20 });

describe("fitGammaPoisson", () => {
  it("no prior nearby explains the counts better", () => {
    fc.assert(
      fc.property(counts, (y) => {
        const units = { counts: y, exposures: y.map((_, i) => 100 + 37 * i) };
        const fit = fitGammaPoisson(units);
        fc.pre(fit.method === "likelihood");
        const best = gammaPoissonLogLikelihood(units, fit);
        for (const [shape, mean] of [
          [0.97, 1],
          [1.03, 1],
          [1, 0.97],
          [1, 1.03],
        ] as const) {
          const other = {
            shape: fit.shape * shape,
            mean: fit.mean * mean,
            rate: (fit.shape * shape) / (fit.mean * mean),
          };
          expect(gammaPoissonLogLikelihood(units, other)).toBeLessThanOrEqual(best + 1e-9);
        }
      }),
    );
  });

  it("finds the spread it was drawn with", () => {
    const random = seededChance("fleet");
    const exposures = Array.from({ length: 3000 }, () => 400 + 1000 * random());
    const y = exposures.map((e) => poissonQuantile(random(), e * gammaQuantile(random(), { shape: 0.8, rate: 365 })));
    const fit = fitGammaPoisson({ counts: y, exposures });
    expect(fit.shape).toBeGreaterThan(0.7);
    expect(fit.shape).toBeLessThan(0.9);
    expect(fit.mean * 365).toBeGreaterThan(0.74);
    expect(fit.mean * 365).toBeLessThan(0.86);
  });

  it("a fleet as even as chance allows gets one rate for all", () => {
    const fit = fitGammaPoisson({ counts: [2, 3, 2, 3, 2, 3], exposures: new Array<number>(6).fill(1000) });
    expect(fit).toEqual({ shape: Infinity, rate: Infinity, mean: 0.0025, method: "pooled" });
  });

  it("no event, or one detector, gives a weak prior around the pooled rate", () => {
    expect(fitGammaPoisson({ counts: [0, 0], exposures: [400, 600] })).toEqual({
      shape: 0.5,
      rate: 1000,
      mean: 0.0005,
      method: "weak",
    });
    expect(fitGammaPoisson({ counts: [3], exposures: [600] })).toMatchObject({
      shape: 0.5,
      mean: 0.005,
      method: "weak",
    });
  });

  it("detectors that were never under watch say nothing; none under watch is refused", () => {
    const seen = fitGammaPoisson({ counts: [0, 7, 1], exposures: [300, 300, 300] });
    expect(fitGammaPoisson({ counts: [0, 7, 0, 1], exposures: [300, 300, 0, 300] })).toEqual(seen);
    expect(() => fitGammaPoisson({ counts: [0], exposures: [0] })).toThrow(/no exposure/);
    expect(() => fitGammaPoisson({ counts: [0.5], exposures: [10] })).toThrow(/count/);
    expect(() => fitGammaPoisson({ counts: [1], exposures: [] })).toThrow(RangeError);
  });
});

describe("forecastCount", () => {
  const prior = { shape: 0.8, rate: 400 };

  it("lies between the fleet's rate and the detector's own", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 30 }), fc.integer({ min: 30, max: 3000 }), (count, exposure) => {
        const { mean, low, high } = forecastCount({ ...prior, count, exposure, horizon: 1, level: 0.8 });
        const own = count / exposure;
        const fleet = prior.shape / prior.rate;
        expect(mean).toBeGreaterThanOrEqual(Math.min(own, fleet) - 1e-12);
        expect(mean).toBeLessThanOrEqual(Math.max(own, fleet) + 1e-12);
        expect(low).toBeLessThanOrEqual(high);
        expect(Number.isInteger(low) && Number.isInteger(high)).toBe(true);
      }),
    );
  });

  it("four quiet years speak louder than ten quiet days", () => {
    const quiet = (exposure: number) => forecastCount({ ...prior, count: 0, exposure, horizon: 365, level: 0.8 });
    expect(quiet(1460).mean).toBeLessThan(0.3 * quiet(10).mean);
    expect(quiet(1460).pAtLeastOne).toBeLessThan(quiet(10).pAtLeastOne);
  });

  it("a fleet without spread forecasts its pooled rate whatever the detector did", () => {
    const even = { shape: Infinity, rate: Infinity, mean: 0.01 };
    const found = forecastCount({ ...even, count: 9, exposure: 10, horizon: 100, level: 0.8 });
    expect(found).toMatchObject({ mean: 1, size: Infinity });
    expect(posteriorRate({ ...even, count: 9, exposure: 10, level: 0.8 })).toMatchObject({ low: 0.01, high: 0.01 });
    expect(() =>
      forecastCount({ shape: Infinity, rate: Infinity, count: 0, exposure: 1, horizon: 1, level: 0.8 }),
    ).toThrow(/mean/);
  });

  it("no horizon, no event to expect; impossible arguments are refused", () => {
    expect(forecastCount({ ...prior, count: 3, exposure: 100, horizon: 0, level: 0.8 })).toMatchObject({
      mean: 0,
      high: 0,
    });
    expect(() => forecastCount({ ...prior, count: 3, exposure: 100, horizon: -1, level: 0.8 })).toThrow(/horizon/);
    expect(() => forecastCount({ ...prior, count: -1, exposure: 100, horizon: 1, level: 0.8 })).toThrow(RangeError);
    expect(() => forecastCount({ ...prior, count: 1, exposure: 100, horizon: 1, level: 0 })).toThrow(/level/);
    expect(() => posteriorRate({ shape: 0, rate: 1, count: 1, exposure: 1, level: 0.9 })).toThrow(/prior/);
  });
});
