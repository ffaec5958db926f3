import { describe, expect, it } from "vitest";
import { levelCoverage } from "@/lib/analyse/drift/coverage";
import { driftModels } from "@/lib/analyse/drift/model";
import { DAY_MS } from "@/lib/kernel/units";
import { AS_OF, type Beam, DAYS, historiesOf, normalOf, temperatureC } from "@/tests/lib/analyse/drift/beams";

const fitted = (beams: readonly Beam[]) => {
  const models = driftModels(historiesOf(beams), { asOf: AS_OF, horizonDays: 90 });
  return [...models.values()].map((model) => {
    if (model.outcome === "none") throw new Error(model.reason);
    return model;
  });
};

/** A level that wanders by `sd` dB in the square root of a day, with dirt on top. */
function wandering(seed: string, { sd, perDay }: { sd: number; perDay: number }): Beam {
  const normal = normalOf(seed);
  let level = 0;
  const levels = Array.from({ length: DAYS + 1 }, (_, day) => {
    level += sd * normal();
    return level + perDay * day;
  });
  return { db: (day) => levels[day] ?? 0 };
}

describe("steps", () => {
  it.each<[string, Beam, readonly number[]]>([
    ["dirt alone", { db: (day) => 0.0015 * day }, []],
    ["the year alone", { db: (day) => 0.4 * Math.sin((2 * Math.PI * day) / 365.25) }, []],
    ["heat alone", { db: (day) => 0.03 * (temperatureC[day] ?? 0), temperature: true }, []],
    ["dirt and a cleaning nobody recorded", { db: (day) => 0.0015 * (day < 600 ? day : day - 600) }, [600]],
    ["a knock", { db: (day) => (day < 400 ? 0.1 : 0.6) }, [400]],
    [
      "heat and a knock",
      { db: (day) => 0.03 * (temperatureC[day] ?? 0) + (day < 700 ? 0 : 0.5), temperature: true },
      [700],
    ],
    ["a fortnight of goods in the beam", { db: (day) => (day >= 500 && day < 514 ? 2 : 0.1) }, []],
    ["whole percents", { db: (day) => 0.0007 * day, wholePercent: true }, []],
  ])("%s is cut where the level was set anew and nowhere else", (_, beam, days) => {
    const [model] = fitted([beam]);
    const found = model?.leading.prepared.steps.map(({ day }) => day - (AS_OF / DAY_MS - DAYS)) ?? [];
    expect(found).toHaveLength(days.length);
    for (const [index, day] of days.entries()) expect(Math.abs((found[index] ?? 0) - day)).toBeLessThanOrEqual(8);
  });
});

describe("heat", () => {
  it("that reaches the limit at the extreme of the year is found with its day, without any trend", () => {
    const hot: Beam = { db: (day) => 0.12 * ((temperatureC[day] ?? 0) - 5), temperature: true };
    const [model] = fitted([hot]);
    expect(Math.min(...(model?.pValues ?? [1]))).toBeLessThan(0.001);
    // These temperatures peak 201 days after the end of the record; 1.871 dB are reached at 20.6 degrees, that is where
    // the sine stands at 0.73, 44 days before the peak: day 157, looked up week by week.
    expect(Math.abs((model?.toLimit.days ?? 0) - 157)).toBeLessThanOrEqual(14);
    expect(Math.abs((model?.leading.slope ?? 1) * 365)).toBeLessThan(0.1);
  });

  it("that stays clear of the limit is no news", () => {
    const [model] = fitted([{ db: (day) => 0.04 * (temperatureC[day] ?? 0), temperature: true }]);
    expect(Math.min(...(model?.pValues ?? [0]))).toBeGreaterThan(0.5);
    expect(model?.swingDb).toBeGreaterThan(0.5);
  });
});

describe("the band of the level ahead", () => {
  it("holds about nine levels in ten, still and wandering", () => {
    const beams = Array.from({ length: 60 }, (_, index) =>
      wandering(`beam ${index}`, { sd: [0, 0.005, 0.01, 0.02][index % 4] ?? 0, perDay: 0.0002 * (index % 5) }),
    );
    const moments = [400, 600, 800, 900].map((day) => AS_OF - (DAYS - day) * DAY_MS);
    const coverage = levelCoverage(historiesOf(beams), { moments, horizonDays: 90 });
    expect(coverage.cases).toBe(240);
    // 90 % of 240 with room for what the fit must guess of each beam's wandering.
    expect(coverage.share).toBeGreaterThan(0.83);
    expect(coverage.share).toBeLessThan(0.99);
  });

  it("is not moved by what came later", () => {
    const beam = (later: number): Beam => ({ db: (day) => 0.0005 * day + (day >= 900 ? later : 0) });
    const at = AS_OF - (DAYS - 800) * DAY_MS;
    const width = (later: number) =>
      levelCoverage(historiesOf([beam(later)]), { moments: [at], horizonDays: 60 }).halfWidthDb;
    expect(width(0)).toBe(width(3));
  });
});
