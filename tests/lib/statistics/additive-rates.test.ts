import { describe, expect, it } from "vitest";
import { additiveRates, expectedAt } from "@/lib/statistics/additive-rates";

describe("rates of sources that add up", () => {
  it("are found exactly where the counts follow them exactly", () => {
    // Rates 2 and 0.5 by hand: 2·1 + .5·2 = 3, 2·2 + .5·0 = 4, 2·0 + .5·8 = 4, 2·3 + .5·4 = 8.
    const units = [
      { observed: 3, exposures: [1, 2] },
      { observed: 4, exposures: [2, 0] },
      { observed: 4, exposures: [0, 8] },
      { observed: 8, exposures: [3, 4] },
    ];
    const [first = 0, second = 0] = additiveRates(units);
    expect(first).toBeCloseTo(2, 3);
    expect(second).toBeCloseTo(0.5, 3);
    expect(expectedAt([3, 4], [first, second])).toBeCloseTo(8, 2);
  });

  it("expect as many events as there are, whatever the counts", () => {
    const units = [0, 1, 2, 1, 0, 1].map((observed, index) => ({ observed, exposures: [1, index] }));
    const rates = additiveRates(units);
    expect(units.reduce((sum, { exposures }) => sum + expectedAt(exposures, rates), 0)).toBeCloseTo(5, 6);
  });

  it("are not taught by a few units apart", () => {
    const ordinary = Array.from({ length: 60 }, (_, index) => ({
      observed: index % 5 === 0 ? 1 : 0,
      exposures: [1, index % 3],
    }));
    const apart = Array.from({ length: 3 }, () => ({ observed: 12, exposures: [1, 6] }));
    const alone = additiveRates(ordinary);
    const together = additiveRates([...ordinary, ...apart]);
    for (const [source, rate] of alone.entries()) expect(together[source]).toBeCloseTo(rate, 6);
  });

  it("a source nobody is exposed to has none, and nobody at all has no rates", () => {
    expect(additiveRates([{ observed: 2, exposures: [1, 0] }])).toEqual([2, 0]);
    expect(additiveRates([])).toEqual([]);
  });

  it("refuses negative counts and unlike exposures", () => {
    expect(() => additiveRates([{ observed: -1, exposures: [1] }])).toThrow(RangeError);
    expect(() =>
      additiveRates([
        { observed: 1, exposures: [1] },
        { observed: 1, exposures: [1, 2] },
      ]),
    ).toThrow(/2/);
  });
});
