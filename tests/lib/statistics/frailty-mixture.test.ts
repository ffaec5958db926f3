import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { fitFrailtyMixture, shrunkHazard } from "@/lib/statistics/frailty-mixture";

// Events of 400 units by inversion: each with its own expectation, some with a hazard apart.
function unitsWith({ apart, times, seed }: { apart: number; times: number; seed: string }) {
  const chance = seededChance(seed);
  return Array.from({ length: 400 }, (_, index) => {
    const expected = 0.5 + 2 * chance();
    const mean = expected * (index < apart ? times : 1);
    let observed = 0;
    let sum = -Math.log(1 - chance());
    while (sum < mean) {
      observed += 1;
      sum += -Math.log(1 - chance());
    }
    return { observed, expected };
  });
}

describe("units that differ by chance alone", () => {
  const mixture = fitFrailtyMixture(unitsWith({ apart: 0, times: 1, seed: "even" }));

  it("are nearly all ordinary, with a hazard of about 1 and little spread", () => {
    expect(mixture.share).toBeLessThan(0.03);
    expect(mixture.ordinary.mean).toBeGreaterThan(0.9);
    expect(mixture.ordinary.mean).toBeLessThan(1.1);
    expect(mixture.ordinary.shape).toBeGreaterThanOrEqual(4);
  });
});

describe("units of which one in ten gives way ten times as often", () => {
  const units = unitsWith({ apart: 40, times: 10, seed: "apart" });
  const mixture = fitFrailtyMixture(units);

  it("are parted, so that those apart do not widen what counts as ordinary", () => {
    expect(mixture.share).toBeGreaterThan(0.06);
    // Their own spread is fixed, so a few that are all alike pass for somewhat more.
    expect(mixture.share).toBeLessThan(0.2);
    expect(mixture.ordinary.mean).toBeGreaterThan(0.85);
    expect(mixture.ordinary.mean).toBeLessThan(1.15);
  });

  it("draws a unit with few events further towards the others than one with many, and never past them", () => {
    const few = shrunkHazard({ observed: 2, expected: 0.2 }, mixture);
    const many = shrunkHazard({ observed: 20, expected: 2 }, mixture);
    expect(few.value).toBeGreaterThan(1);
    expect(few.value).toBeLessThan(many.value);
    expect(many.low).toBeGreaterThan(4);
    expect(few.high - few.low).toBeGreaterThan(many.high - many.low);
  });
});

describe("what cannot be", () => {
  it("half an event is refused by name", () => {
    expect(() => fitFrailtyMixture([{ observed: 0.5, expected: 1 }])).toThrow(/0.5/);
  });

  it("without any expectation everyone is ordinary", () => {
    expect(fitFrailtyMixture([{ observed: 0, expected: 0 }])).toMatchObject({ share: 0, ordinary: { mean: 1 } });
  });
});
