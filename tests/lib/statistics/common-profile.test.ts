import { describe, expect, it } from "vitest";
import {
  commonProfile,
  commonSlope,
  departure,
  profileAt,
  profileWithout,
  shrunkLevels,
} from "@/lib/statistics/common-profile";

const flat = (counts: number[]) => ({ counts, exposures: counts.map(() => 1) });

describe("the common course of units", () => {
  it("is flat where all are, and doubled where all have twice the events", () => {
    const { level } = commonProfile(Array.from({ length: 30 }, () => flat([4, 4, 4, 4])));
    for (const one of level) expect(one).toBeCloseTo(1, 6);
    const doubled = commonProfile(Array.from({ length: 30 }, () => flat([4, 4, 8, 8]))).level;
    expect((doubled[3] ?? 0) / (doubled[0] ?? 1)).toBeCloseTo(2, 1);
  });

  it("gives each unit one vote: a few which rise strongly are left out of it", () => {
    const steady = Array.from({ length: 40 }, () => flat([3, 3, 3, 3]));
    const rising = Array.from({ length: 4 }, () => flat([0, 0, 0, 60]));
    const { level, kept } = commonProfile([...steady, ...rising]);
    expect([40, 41, 42, 43].some((place) => kept.has(place))).toBe(false);
    expect(level[3]).toBeCloseTo(1, 1);
  });

  it("without a part is that of the others alone", () => {
    const units = [flat([1, 2, 3]), flat([2, 0, 2]), flat([5, 1, 0])];
    const level = [1, 1, 1];
    const rest = profileWithout(profileAt(units, level), profileAt(units.slice(2), level));
    const alone = profileAt(units.slice(0, 2), level);
    expect(rest.events).toBe(alone.events);
    for (const [cell, value] of alone.observed.entries()) expect(rest.observed[cell]).toBeCloseTo(value, 12);
  });

  it("refuses units with unlike cells", () => {
    expect(() => commonProfile([flat([1, 2]), flat([1, 2, 3])])).toThrow(RangeError);
  });
});

describe("levels drawn towards 1", () => {
  const chance = profileAt(
    Array.from({ length: 20 }, (_, index) => flat([2, 2, 2, 2].map((count, cell) => count + ((index + cell) % 2)))),
    [1, 1, 1, 1],
  );

  it("are all 1 where cells differ no more than chance makes them, or where events are too few", () => {
    expect(shrunkLevels(chance, { dispersion: 1, least: 40 })).toEqual([1, 1, 1, 1]);
    const steep = profileAt([flat([1, 1, 9, 9])], [1, 1, 1, 1]);
    expect(shrunkLevels(steep, { dispersion: 1, least: 40 })).toEqual([1, 1, 1, 1]);
  });

  it("keep a clear course, and less of it where events come in bad spells", () => {
    const steep = profileAt(
      Array.from({ length: 60 }, () => flat([2, 2, 6, 6])),
      [1, 1, 1, 1],
    );
    const ratio = (levels: number[]) => (levels[3] ?? 0) / (levels[0] ?? 1);
    const sure = ratio(shrunkLevels(steep, { dispersion: 1, least: 40 }));
    const unsure = ratio(shrunkLevels(steep, { dispersion: 6, least: 40 }));
    expect(sure).toBeGreaterThan(2.7);
    expect(sure).toBeLessThanOrEqual(3);
    expect(unsure).toBeLessThan(sure);
  });
});

describe("the common slope", () => {
  it("of a step is the logarithm of the ratio of rates", () => {
    // Rates 2 and 6 a cell: exp(slope) = 3.
    const { slope, gain2 } = commonSlope([flat([2, 2, 6, 6]), flat([4, 4, 12, 12])], [0, 0, 1, 1]);
    expect(slope).toBeCloseTo(Math.log(3), 4);
    expect(gain2).toBeGreaterThan(3.84);
  });

  it("is none without events, or where the course does not vary", () => {
    expect(commonSlope([flat([0, 0, 0])], [0, 0, 1])).toEqual({ slope: 0, gain2: 0 });
    expect(commonSlope([flat([1, 2, 3])], [1, 1, 1]).slope).toBe(0);
  });

  it("leaves no departure in the units it was fitted to, and a large one in another that rises", () => {
    const course = [0, 0, 1, 1];
    const level = [1, 1, 3, 3];
    expect(departure(flat([2, 2, 6, 6]), { level, course })).toBeCloseTo(0, 6);
    expect(departure(flat([0, 0, 9, 9]), { level, course })).toBeGreaterThan(1.96);
    expect(departure(flat([0, 0, 0, 0]), { level, course })).toBe(0);
  });
});
