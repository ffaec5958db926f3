import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import type { Span } from "@/lib/statistics/operational-time";
import { risingRateTest } from "@/lib/statistics/rising-rate";
import { seasonIntegral } from "@/lib/statistics/season-integral";

const FOUR_YEARS: readonly Span[] = [[0, 1461]];
const test = (events: readonly number[], inService: readonly Span[] = FOUR_YEARS) =>
  risingRateTest({ inService, events, asOf: 1461, recentLength: 365 });

describe("risingRateTest", () => {
  it("eight faults in the last year after one in three years is a rise", () => {
    const found = test([200, 1110, 1150, 1200, 1260, 1300, 1350, 1400, 1450]);
    expect(found.recent.count).toBe(8);
    expect(found.p).toBeLessThan(1e-3);
    expect(found.rateRatio?.low).toBeGreaterThan(1);
  });

  it("faults that stop are no rise", () => {
    expect(test([100, 150, 200, 260, 300, 340]).p).toBeGreaterThan(0.9);
  });

  it("no fault: p one and no ratio to give", () => {
    expect(test([])).toMatchObject({ n: 0, p: 1, rateRatio: { ratio: null, high: null } });
  });

  it("a detector in service for the recent window only is judged by the trend alone", () => {
    const found = test([1200, 1300, 1440], [[1150, 1461]]);
    expect(found.rateRatio).toBeNull();
    expect(found.p).toBe(found.laplace.pRising);
  });

  it("a fault while out of service is dropped and counted", () => {
    expect(
      test(
        [500, 1200],
        [
          [0, 400],
          [600, 1461],
        ],
      ),
    ).toMatchObject({ n: 1, dropped: 1 });
  });

  it("a window of no length is refused", () => {
    expect(() => risingRateTest({ inService: FOUR_YEARS, events: [], asOf: 1461, recentLength: 0 })).toThrow(/window/);
  });

  it("keeps its size at a constant rate, with gaps and a late start", () => {
    const inService: readonly Span[] = [
      [440, 700],
      [760, 1461],
    ];
    const random = seededChance("constant rate");
    let below = 0;
    const runs = 4000;
    for (let run = 0; run < runs; run++) {
      const events = Array.from({ length: 6 }, () => {
        const spent = random() * 961;
        return spent < 260 ? 440 + spent : 500 + spent;
      });
      if (test(events, inService).p <= 0.05) below++;
    }
    // Size .05 measured for n = 6; three standard errors of 4000 runs are .0103.
    expect(below / runs).toBeLessThan(0.0603);
    expect(below / runs).toBeGreaterThan(0.035);
  });

  it("a season that ends with its high is no rise once the season is given", () => {
    const integral = seasonIntegral({ coefficients: [0.9, 0], period: 365.25, origin: 1370 });
    const random = seededChance("season");
    const weighed = { asOf: 1461, recentLength: 183, inService: [[900, 1461]] as const };
    let plain = 0;
    let seasonal = 0;
    for (let run = 0; run < 1500; run++) {
      const events: number[] = [];
      while (events.length < 6) {
        const at = 900 + 561 * random();
        if (random() < Math.exp(0.9 * (Math.cos((2 * Math.PI * (at - 1370)) / 365.25) - 1))) events.push(at);
      }
      if (risingRateTest({ ...weighed, events }).p <= 0.05) plain++;
      if (risingRateTest({ ...weighed, events, integral }).p <= 0.05) seasonal++;
    }
    expect(plain / 1500).toBeGreaterThan(0.07);
    // Three standard errors of 1500 runs at .05 are .017.
    expect(seasonal / 1500).toBeLessThan(0.067);
  });
});
