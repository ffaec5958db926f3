import { describe, expect, it } from "vitest";
import { alarmDispersion } from "@/lib/analyse/alarm-spells";
import { fleetSeason, seasonIntegral, seasonOfOthers } from "@/lib/analyse/fleet-season";
import { alarmHours, hourWeights } from "@/lib/analyse/hour-profile";
import { seededChance } from "@/lib/kernel/chance";
import { alarmHistory } from "@/tests/fixtures/alarm-history";
import { at } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const from = at("2023-01-01");
const days = 1096;
const chance = seededChance("background of alarms");
const fleetOf = (size: number, momentsOf: () => number[]) =>
  Array.from({ length: size }, (_, index) => alarmHistory({ id: `D${index}`, from, days, moments: momentsOf() }));
const anyMoment = () => from + Math.floor(days * chance()) * DAY_MS + Math.floor(24 * chance()) * 3_600_000;
const several = (count: number, draw: () => number) => Array.from({ length: count }, draw).sort((a, b) => a - b);

describe("bad spells of weeks", () => {
  it("are not seen where alarms come one by one, nor where they come in a season", () => {
    expect(alarmDispersion(fleetOf(80, () => several(5, anyMoment)))).toBe(1);
    const summer = () => from + (Math.floor(3 * chance()) * 365.25 + 150 + 90 * chance()) * DAY_MS;
    expect(alarmDispersion(fleetOf(80, () => several(6, summer)))).toBeLessThan(1.15);
  });

  it("are seen where a detector's alarms of one time stay together", () => {
    const spell = () => {
      const beganAt = anyMoment();
      return [0, 12, 24, 36].map((day) => beganAt + day * DAY_MS);
    };
    // Pairs 12, 24 and 36 days apart are companions, three to each alarm: the variance is 4 times chance.
    const dispersion = alarmDispersion(fleetOf(80, spell));
    expect(dispersion).toBeGreaterThan(3);
    expect(dispersion).toBeLessThanOrEqual(4.1);
  });
});

describe("a few detectors with a time of their own", () => {
  const ordinary = fleetOf(80, () => several(2, anyMoment));
  const nightly = Array.from({ length: 4 }, (_, index) =>
    alarmHistory({
      id: `N${index}`,
      from,
      days,
      moments: several(30, () => from + Math.floor(days * chance()) * DAY_MS + 2.5 * 3_600_000),
    }),
  );

  it("do not pass for the fleet's day", () => {
    const weights = hourWeights(alarmHours([...ordinary, ...nightly]));
    // 120 of 280 alarms come at 2 h; counted each for one they would make the hours around it seven times as busy.
    expect(Math.max(...(weights ?? []))).toBeLessThan(2.5);
  });

  it("do not pass for the fleet's season", () => {
    const members = [...ordinary, ...nightly].map(({ detector, alarmClusters, exposure }) => ({
      detectorId: detector.detectorId,
      south: false,
      events: detector.detectorId.startsWith("N")
        ? alarmClusters.map((_, index) => from + ((index % 3) * 365.25 + 300 + index) * DAY_MS)
        : alarmClusters.map(({ beganAt }) => beganAt),
      exposure: exposure.observed,
    }));
    expect(seasonOfOthers(fleetSeason(members), { detectorId: "X", angles: [] })).toBeNull();
  });
});

describe("the fleet's season", () => {
  const winterly = (south: boolean) => () => {
    for (;;) {
      const moment = anyMoment();
      const turn = (((moment - at("2025-01-01")) / DAY_MS / 365.25) % 1) + (south ? 0.5 : 0);
      if (chance() < Math.exp(0.8 * (Math.cos(2 * Math.PI * turn) - 1))) return moment;
    }
  };
  const season = fleetSeason(
    Array.from({ length: 400 }, (_, index) => ({
      detectorId: `D${index}`,
      south: index % 2 === 1,
      events: several(4, winterly(index % 2 === 1)),
      exposure: [{ startAt: from, endAt: from + days * DAY_MS }],
    })),
  );

  it("is found with its strength where both halves of the earth have theirs half a year apart", () => {
    const shape = seasonOfOthers(season, { detectorId: "X", angles: [] });
    // The intensity drawn from is exp(.8 cos): a = .8, b = 0, standard error about .035.
    expect(shape?.a).toBeGreaterThan(0.68);
    expect(shape?.a).toBeLessThan(0.92);
    expect(Math.abs(shape?.b ?? 1)).toBeLessThan(0.12);
  });

  it("weighs the same stretch of time oppositely in north and south, and a year as a year", () => {
    const shape = { a: 0.8, b: 0 };
    const january = [at("2025-01-01"), at("2025-02-01")] as const;
    expect(seasonIntegral(shape, false)(...january)).toBeGreaterThan(3.5 * seasonIntegral(shape, true)(...january));
    const year = seasonIntegral(shape, true)(at("2022-05-01"), at("2026-05-01"));
    expect(year / DAY_MS).toBeCloseTo(1461, 3);
  });
});
