import { describe, expect, test } from "vitest";
import type { Foretold, PartName } from "@/lib/analyse/forecast/foretold";
import { exponentsOf, fitPool, pooled } from "@/lib/analyse/forecast/pool";
import { seededChance } from "@/lib/kernel/chance";

type Means = readonly (readonly [PartName, readonly number[]])[];

function forecastsOf(counts: readonly number[], means: Means): Map<PartName, Foretold> {
  const days = counts.map(() => 90);
  const rows = { origin: 0, detectors: counts.map((_, row) => row), counts, days, doubts: counts.map(() => 0.5) };
  return new Map(means.map(([part, own]) => [part, { ...rows, means: own }]));
}

/** Counts spread as chance alone lets them. */
const chance = { linear: 1, common: 0, own: 0 };

/** Half of the detectors at a truth of 0.2 events, half at 2; the simple parts call all alike, the regression knows. */
function fleet(detectors: number, seed: string) {
  const draw = seededChance(seed);
  const truth = Array.from({ length: detectors }, (_, row) => (row % 2 === 0 ? 0.2 : 2));
  const alike = truth.map((_, row) => 1.1 * (row % 3 === 0 ? 1.2 : 0.9));
  const counts = truth.map((mean) => poisson(mean, draw));
  const means: Means = [
    ["own history", alike],
    ["history within its site", alike],
    ["regression", truth],
  ];
  return { truth, counts, forecasts: forecastsOf(counts, means) };
}

function poisson(mean: number, chance: () => number): number {
  let [count, product] = [0, chance()];
  for (const limit = Math.exp(-mean); product > limit; product *= chance()) count += 1;
  return count;
}

describe("the blend of forecasts", () => {
  test("without a past it is the even shares: the geometric mean of the simple parts", () => {
    const parts = forecastsOf(
      [0],
      [
        ["own history", [0.2]],
        ["history within its site", [0.8]],
        ["regression", [5]],
      ],
    );
    // sqrt(0.2 x 0.8) = 0.4.
    expect(pooled(parts, fitPool([], chance))?.means[0]).toBeCloseTo(0.4, 9);
  });

  test("a part that knows gets nearly all the weight in a large fleet, and little in a small one", () => {
    const weightOf = (detectors: number) => {
      const pool = fitPool([fleet(detectors, "blend").forecasts], chance);
      return pool.weights.find(({ part }) => part === "regression")?.weight ?? Number.NaN;
    };
    expect(weightOf(3000)).toBeGreaterThan(0.8);
    expect(weightOf(3000)).toBeLessThan(1.1);
    expect(weightOf(12)).toBeLessThan(0.25);
    expect(weightOf(12)).toBeGreaterThanOrEqual(0);
  });

  test("a regression that works against what came gets no weight at all", () => {
    const { counts, truth } = fleet(600, "against");
    const parts = forecastsOf(counts, [
      ["own history", truth.map(() => 1.1)],
      ["regression", truth.map((mean) => mean ** -1)],
    ]);
    const pool = fitPool([parts], chance);
    expect(pool.weights.find(({ part }) => part === "regression")?.weight).toBe(0);
  });

  test("means that are twice too sharp on the log scale are pulled together", () => {
    const { counts, truth } = fleet(3000, "sharp");
    const parts = forecastsOf(counts, [["own history", truth.map((mean) => mean ** 2)]]);
    const pool = fitPool([parts], chance);
    expect(pool.slope + pool.below / 2).toBeGreaterThan(0.4);
    expect(pool.slope + pool.below / 2).toBeLessThan(0.65);
  });

  test("exponents of the parts add up to the slope", () => {
    const { forecasts } = fleet(300, "exponents");
    const pool = fitPool([forecasts], chance);
    const sum = [...exponentsOf(pool, new Set(forecasts.keys())).values()].reduce((total, one) => total + one, 0);
    expect(sum).toBeCloseTo(pool.slope, 9);
  });
});
