import { describe, expect, it } from "vitest";
import { negativeBinomialLogPmf } from "@/lib/statistics/distributions";
import { fitRateMixture } from "@/lib/statistics/rate-mixture";

const priors = [
  { shape: 1.5, rate: 300 },
  { shape: 1, rate: 100 },
];

function data(intensities: readonly number[], exposures: readonly number[]) {
  const rows = intensities.length / 2;
  return {
    intensities: Float64Array.from(intensities),
    columns: 2,
    weights: new Float64Array(rows).fill(1),
    exposures: Float64Array.from(exposures),
  };
}

describe("a mixture of rates", () => {
  it("is exact for a single source: the negative binomial but for what all sets share", () => {
    const { evidence, counts } = fitRateMixture(data([1, 0, 1, 0, 1, 0], [700, 1]), { sources: [0], priors });
    // P(3) = e^3/3! x the integral over the rate, so the points' density lacks exposure^3 / 3!.
    const mean = (1.5 / 300) * 700;
    const exact = negativeBinomialLogPmf(3, { size: 1.5, mean }) - 3 * Math.log(700) + Math.log(6);
    expect(counts[0]).toBe(3);
    expect(evidence).toBeCloseTo(exact, 9);
  });

  it("gives events to the source that fits them", () => {
    const { shares } = fitRateMixture(data([1, 20, 1, 20, 1, 0], [700, 700]), { sources: [0, 1], priors });
    expect(shares[1]).toBeGreaterThan(0.9);
    expect(shares[5]).toBeLessThan(0.01);
  });

  it("makes a source that explains nothing pay for being there", () => {
    const even = data([1, 1, 1, 1], [700, 700]);
    const alone = fitRateMixture(even, { sources: [0], priors }).evidence;
    expect(fitRateMixture(even, { sources: [0, 1], priors }).evidence).toBeLessThan(alone);
  });

  it("has the evidence of no event in the exposure where there is none", () => {
    const { evidence } = fitRateMixture(data([], [700, 100]), { sources: [0, 1], priors });
    expect(evidence).toBeCloseTo(1.5 * Math.log(300 / 1000) + Math.log(100 / 200), 12);
  });
});
