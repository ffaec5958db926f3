import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { angleAtShare, circleExposure } from "@/lib/statistics/circle";
import { rayleigh } from "@/lib/statistics/rayleigh";
import { conditionalMonteCarlo, exposureWeightedRayleigh } from "@/lib/statistics/season";

const EVEN = new Array<number>(12).fill(1);
const angles = fc.array(fc.double({ min: 0, max: 6.28, noNaN: true }), { minLength: 1, maxLength: 20 });

describe("exposureWeightedRayleigh", () => {
  it("with even exposure it is twice Rayleigh's z", () => {
    fc.assert(
      fc.property(angles, (a) => {
        expect(exposureWeightedRayleigh({ angles: a, exposure: EVEN }).q).toBeCloseTo(2 * rayleigh(a).z, 9);
      }),
    );
  });

  it("turning events and exposure together turns the peak and leaves the evidence", () => {
    const exposure = [3, 0, 1, 4, 2, 2, 1, 0, 5, 1, 1, 2];
    fc.assert(
      fc.property(angles, fc.integer({ min: 1, max: 11 }), (a, months) => {
        const turned = exposure.map((_, month) => exposure[(month - months + 12) % 12]!);
        const there = exposureWeightedRayleigh({ angles: a, exposure });
        const turn = (months * Math.PI) / 6;
        const here = exposureWeightedRayleigh({ angles: a.map((x) => x + turn), exposure: turned });
        expect(here.q).toBeCloseTo(there.q, 8);
        expect(Math.cos(here.peakAngle! - there.peakAngle! - turn)).toBeCloseTo(1, 6);
      }),
    );
  });

  it("alarms that merely follow the exposure are no season: half a year in service, alarms in that half", () => {
    const exposure = [1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0];
    const a = [0.4, 0.9, 1.4, 1.9, 2.3, 2.8];
    expect(exposureWeightedRayleigh({ angles: a, exposure }).p).toBeGreaterThan(0.5);
    expect(rayleigh(a).p).toBeLessThan(0.05);
  });

  it("no event: no statistic, no peak, p one", () => {
    expect(exposureWeightedRayleigh({ angles: [], exposure: EVEN })).toEqual({ n: 0, q: 0, p: 1, peakAngle: null });
    expect(() => exposureWeightedRayleigh({ angles: [Number.NaN], exposure: EVEN })).toThrow(RangeError);
  });
});

describe("conditionalMonteCarlo", () => {
  it("the same seed gives the same p, and no event gives one", () => {
    const once = () =>
      conditionalMonteCarlo({ angles: [1, 1.2, 3], exposure: EVEN, draws: 199, random: seededChance("a detector") });
    expect(once()).toBe(once());
    expect(conditionalMonteCarlo({ angles: [], exposure: EVEN, draws: 9, random: seededChance(1) })).toBe(1);
  });

  it("agrees with the exact chance for two events: the angle between them", () => {
    // Two unit vectors are as long together when they stand within d of each other: P = d / pi.
    const p = conditionalMonteCarlo({ angles: [1, 1.4], exposure: EVEN, draws: 19_999, random: seededChance(2) });
    expect(Math.abs(p - 0.4 / Math.PI)).toBeLessThan(0.01);
  });

  it("small p-values are worked out with more draws, down to one in a hundred thousand and no further", () => {
    const a = new Array<number>(9).fill(2);
    const p = conditionalMonteCarlo({ angles: a, exposure: EVEN, draws: 1999, random: seededChance(3) });
    expect(p).toBeCloseTo(1e-5, 10);
    const few = conditionalMonteCarlo({ angles: a, exposure: EVEN, draws: 99, maxDraws: 99, random: seededChance(3) });
    expect(few).toBeCloseTo(0.01, 10);
  });

  it("keeps its size under uneven exposure", () => {
    const exposure = [2, 2, 2, 2, 2, 2, 1, 1, 1, 1, 1, 1];
    const circle = circleExposure(exposure);
    const random = seededChance("size");
    let rejected = 0;
    for (let run = 0; run < 1000; run++) {
      const a = Array.from({ length: 5 }, () => angleAtShare(random(), circle));
      if (conditionalMonteCarlo({ angles: a, exposure, draws: 99, maxDraws: 99, random }) <= 0.05) rejected++;
    }
    // Exact size .05; three standard errors of 1000 runs are .021.
    expect(rejected / 1000).toBeGreaterThan(0.029);
    expect(rejected / 1000).toBeLessThan(0.071);
  });

  it("no draw at all is refused", () => {
    expect(() => conditionalMonteCarlo({ angles: [1], exposure: EVEN, draws: 0, random: Math.random })).toThrow(
      /draws/,
    );
  });
});
