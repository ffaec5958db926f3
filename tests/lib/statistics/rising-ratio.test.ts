import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { risingEvidence } from "@/lib/statistics/rising-evidence";
import { risingRatioLimits } from "@/lib/statistics/rising-ratio";

const windows = [0.75, 0.875];
const timesArbitrary = fc.array(fc.double({ min: 0.001, max: 0.999, noNaN: true }), { minLength: 3, maxLength: 15 });

describe("the limits of a rising ratio", () => {
  it("exclude 1 exactly where the test does", () => {
    fc.assert(
      fc.property(timesArbitrary, fc.double({ min: 1, max: 2.5, noNaN: true }), (times, dispersion) => {
        const { rising, falling } = risingEvidence(times, { windows, dispersion });
        const { low, high } = risingRatioLimits(times, { windows, dispersion });
        // The root is found to 1e-4, so a p-value on the very border may fall on either side.
        if (Math.abs(rising - 0.025) > 1e-4) expect(low > 1).toBe(rising < 0.025);
        if (Math.abs(falling - 0.025) > 1e-4) expect((high ?? Infinity) < 1).toBe(falling < 0.025);
        expect(low).toBeLessThanOrEqual(high ?? Infinity);
      }),
      { numRuns: 60, seed: 11 },
    );
  });

  it("hold a true step of four in 95 of 100 detectors", () => {
    const chance = seededChance("step of four");
    let inside = 0;
    let tried = 0;
    while (tried < 300) {
      // 6 expected before the step and 8 after: rate 8 a unit of time before, 32 after.
      const times: number[] = [];
      for (let at = 0; at < 1; ) {
        at -= Math.log(1 - chance()) / 32;
        if (at < 1 && chance() < (at > 0.75 ? 1 : 0.25)) times.push(at);
      }
      if (times.length < 3) continue;
      tried += 1;
      const { low, high } = risingRatioLimits(times, { windows });
      if (low <= 4 && 4 <= (high ?? Infinity)) inside += 1;
    }
    // Binomial(300, .95) lies below 273 with a chance of 0.2 %.
    expect(inside).toBeGreaterThanOrEqual(273);
  });

  it("have no upper end where nothing came before, and none at all to give without a window", () => {
    expect(risingRatioLimits([0.8, 0.9, 0.95, 0.99], { windows }).high).toBeNull();
    expect(() => risingRatioLimits([0.5], { windows: [] })).toThrow(/window/);
  });
});

describe("the evidence of a rise", () => {
  it.each([3, 6, 12, 40])("from %i events speaks at 5 % in no more than one detector in twenty", (n) => {
    const chance = seededChance(`size ${n}`);
    let spoken = 0;
    for (let run = 0; run < 2000; run += 1) {
      const times = Array.from({ length: n }, () => chance());
      if (risingEvidence(times, { windows }).rising <= 0.05) spoken += 1;
    }
    // 100 expected; 130 lies three standard deviations above.
    expect(spoken).toBeLessThan(130);
    expect(spoken).toBeGreaterThan(40);
  });

  it("is weaker where bad spells are usual, and never below the plain one", () => {
    const times = [0.6, 0.8, 0.9, 0.92, 0.95, 0.97];
    const plain = risingEvidence(times, { windows }).rising;
    const guarded = risingEvidence(times, { windows, dispersion: 1.5 }).rising;
    expect(guarded).toBeGreaterThan(plain);
    expect(() => risingEvidence(times, { windows, dispersion: 0.5 })).toThrow(/0.5/);
  });
});
