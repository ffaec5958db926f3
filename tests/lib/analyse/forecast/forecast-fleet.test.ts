import { describe, expect, test } from "vitest";
import { fleetHistory } from "@/lib/analyse/fleet-history";
import { fleetSeason, isSouth } from "@/lib/analyse/fleet-season";
import { type FleetForecast, forecastFleet } from "@/lib/analyse/forecast/forecast-fleet";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { FleetRecords } from "@/lib/analyse/known";
import { summariseSignal } from "@/lib/analyse/signal-summary";
import { seededChance } from "@/lib/kernel/chance";
import { DAY_MS } from "@/lib/kernel/units";
import { defaultSettings } from "@/lib/settings/settings";
import { at, makeDetector, makeEvent, makeSite } from "@/tests/fixtures/records";
import { SIMULATED_AS_OF, simulateFleet } from "@/tests/fixtures/simulated-fleet";

const settings = defaultSettings();
const HORIZON = 90;
const FROM = "2023-07-01";

function historiesOf(
  records: FleetRecords,
  asOf: number,
  series: ReturnType<typeof simulateFleet>["series"] = new Map(),
) {
  const signals = new Map(
    [...series].flatMap(([id, one]) => {
      const summary = summariseSignal(one, { asOf, silentAfterHours: settings.silentAfterHours });
      return summary ? [[id, summary] as const] : [];
    }),
  );
  return fleetHistory({ records, signals, settings, asOf }).detectors;
}

function forecastOf(detectors: readonly DetectorHistory[], asOf: number, horizonDays = HORIZON): FleetForecast {
  const seasonOf = (kind: "fault" | "alarm") =>
    fleetSeason(
      detectors.map(({ detector, site, faultClusters, alarmClusters, exposure }) => ({
        detectorId: detector.detectorId,
        south: isSouth(site),
        events: (kind === "fault" ? faultClusters : alarmClusters).map(({ beganAt }) => beganAt),
        exposure: kind === "fault" ? exposure.faultRisk : exposure.observed,
      })),
    );
  return forecastFleet(detectors, {
    asOf,
    horizonDays,
    faultSeason: seasonOf("fault"),
    alarmSeason: seasonOf("alarm"),
  });
}

/** A fleet whose fault rate grows with the path: 0.5 faults a year at 20 m, 8 times that at 80 m. */
function pathFleet(detectors: number): FleetRecords {
  const chance = seededChance("paths");
  const from = at(FROM);
  const all = Array.from({ length: detectors }, (_, index) =>
    makeDetector({
      detectorId: `P${String(index).padStart(3, "0")}`,
      pathLengthM: index % 2 === 0 ? 20 : 80,
      installedOn: FROM,
    }),
  );
  const events = all.flatMap(({ detectorId, pathLengthM }) => {
    const perDay = (0.5 / 365) * (pathLengthM === 80 ? 8 : 1);
    const found = [];
    for (let day = 0; ; ) {
      day += -Math.log(1 - chance()) / perDay;
      if (day > 1096) return found;
      const beganAt = Math.round(from + day * DAY_MS);
      found.push(makeEvent({ detectorId, beganAt, endedAt: beganAt + 60_000, condition: "fault" }));
    }
  });
  return { sites: [makeSite()], detectors: all, events, work: [] };
}

describe("the forecast of a fleet", () => {
  const fleet = simulateFleet({ seed: "forecast", detectors: 120, planted: "rising", every: 8 });
  const earlier = SIMULATED_AS_OF - HORIZON * DAY_MS;
  const before = historiesOf(fleet.records, earlier, fleet.series);
  const forecast = forecastOf(before, earlier);

  test("a detector's mean lies inside its interval, and modes add up to it", () => {
    for (const { faults, unwantedAlarms, modes } of forecast.byDetector.values()) {
      for (const one of [faults, unwantedAlarms]) {
        expect(one.low).toBeLessThanOrEqual(one.mean);
        expect(one.high).toBeGreaterThanOrEqual(one.mean);
        expect(one.variance).toBeGreaterThanOrEqual(one.mean * 0.999);
      }
      const sum = modes.filter(({ kind }) => kind === "fault").reduce((total, { mean }) => total + mean, 0);
      expect(sum).toBeCloseTo(faults.mean, 9);
    }
  });

  test("what comes after the as-of moment changes no number", () => {
    const altered = {
      ...fleet.records,
      events: fleet.records.events.flatMap((event) => (event.beganAt >= earlier ? [] : [event])),
      work: fleet.records.work.filter(({ doneAt }) => doneAt < earlier),
    };
    const again = forecastOf(historiesOf(altered, earlier, fleet.series), earlier);
    expect([...again.byDetector]).toEqual([...forecast.byDetector]);
    expect(again.reports).toEqual(forecast.reports);
  });

  test("the quarter that follows comes as foretold, and inside the intervals as often as they claim", () => {
    const later = new Map(
      historiesOf(fleet.records, SIMULATED_AS_OF, fleet.series).map((one) => [one.detector.detectorId, one]),
    );
    let [said, came, inside, variance] = [0, 0, 0, 0];
    for (const [id, { faults }] of forecast.byDetector) {
      const count = later.get(id)?.faults.filter(({ beganAt }) => beganAt >= earlier).length ?? 0;
      said += faults.mean;
      variance += faults.variance;
      came += count;
      inside += count >= faults.low && count <= faults.high ? 1 : 0;
    }
    expect(Math.abs(came - said)).toBeLessThan(3 * Math.sqrt(variance));
    // 90 % of 120 and two and a half standard deviations of chance on either side, and what whole numbers cover more.
    expect(inside / forecast.byDetector.size).toBeGreaterThan(0.83);
    expect(inside / forecast.byDetector.size).toBeLessThan(0.975);
  });

  test("the report tells the score of each part; the blend beats the fleet's rate and is close to the best of them", () => {
    const { fault } = forecast.reports;
    const scoreOf = (name: string) => fault.parts.find(({ part }) => part === name)?.logScore ?? Number.NaN;
    const scores = fault.parts.flatMap(({ logScore }) => logScore ?? []);
    expect(scores.length).toBeGreaterThanOrEqual(5);
    expect(scoreOf("blend")).toBeLessThan(scoreOf("pooled rate"));
    expect(scoreOf("blend")).toBeLessThan(1.02 * Math.min(...scores));
    expect(fault.sentence).toMatch(/^Faults: the blend .* its best part/);
  });

  test("the doubt about the level all means share is told, and lies between 2 % and 40 %", () => {
    for (const { levelDoubt } of Object.values(forecast.reports)) {
      expect(levelDoubt).toBeGreaterThan(0.02);
      expect(levelDoubt).toBeLessThan(0.4);
    }
  });
});

describe("what the fleet teaches", () => {
  test("a fact that sets rates apart is found, and named as what moves a detector", () => {
    const asOf = at(FROM) + 1096 * DAY_MS;
    const { byDetector, reports } = forecastOf(historiesOf(pathFleet(160), asOf), asOf);
    expect(reports.fault.exponents.get("regression")).toBeGreaterThan(0.3);
    const scoreOf = (name: string) => reports.fault.parts.find(({ part }) => part === name)?.logScore ?? Number.NaN;
    expect(scoreOf("blend")).toBeLessThan(scoreOf("own history"));
    const means = (offset: number) =>
      [...byDetector].filter(([id]) => Number(id.slice(1)) % 2 === offset).map(([, one]) => one.faults.mean);
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    // Truth: 0.5 and 4 faults a year, over 90 days 0.123 and 0.986.
    expect(mean(means(0))).toBeGreaterThan(0.07);
    expect(mean(means(0))).toBeLessThan(0.2);
    expect(mean(means(1))).toBeGreaterThan(0.8);
    expect(mean(means(1))).toBeLessThan(1.2);
    const named = [...byDetector.values()].filter(({ moves }) => moves.some(({ group }) => group === "build"));
    expect(named.length).toBeGreaterThan(80);
  });

  test("twenty detectors with few events get simple forecasts in even shares", () => {
    const few = simulateFleet({ seed: "few", detectors: 20 });
    const { records } = few;
    const thin = { ...records, events: records.events.filter((_, index) => index % 4 === 0) };
    const { byDetector, reports } = forecastOf(historiesOf(thin, SIMULATED_AS_OF), SIMULATED_AS_OF);
    expect(reports.fault.exponents.get("regression") ?? 0).toBe(0);
    for (const part of ["own history", "history within its site"] as const) {
      expect(reports.fault.exponents.get(part)).toBeGreaterThan(0.3);
      expect(reports.fault.exponents.get(part)).toBeLessThan(0.7);
    }
    expect(reports.fault.sentence).toMatch(/too few to choose by/);
    for (const { faults } of byDetector.values()) expect(faults.mean).toBeLessThan(3);
  });

  test("a fleet without any record is given little and says so", () => {
    const records = { sites: [makeSite()], detectors: [makeDetector({ installedOn: FROM })], events: [], work: [] };
    const asOf = at("2023-09-01");
    const { byDetector, reports } = forecastOf(historiesOf(records, asOf), asOf);
    const [only] = [...byDetector.values()];
    expect(only?.faults.mean).toBeLessThan(1);
    expect(reports.alarm.rows).toBe(0);
  });

  test("twice the horizon, twice the events", () => {
    const asOf = at(FROM) + 1096 * DAY_MS;
    const histories = historiesOf(pathFleet(60), asOf);
    const total = (days: number) =>
      [...forecastOf(histories, asOf, days).byDetector.values()].reduce((sum, { faults }) => sum + faults.mean, 0);
    expect(total(180) / total(90)).toBeGreaterThan(1.6);
    expect(total(180) / total(90)).toBeLessThan(2.4);
  });
});
