import { describe, expect, test } from "vitest";
import { fleetHistory } from "@/lib/analyse/fleet-history";
import { fleetSeason } from "@/lib/analyse/fleet-season";
import { eventRecord } from "@/lib/analyse/forecast/event-record";
import { knownRates } from "@/lib/analyse/forecast/known-rates";
import { originRows, signalStates } from "@/lib/analyse/forecast/origin-rows";
import { originsOf, unvisitedSpan } from "@/lib/analyse/forecast/origins";
import { yearWeights } from "@/lib/analyse/forecast/year-weights";
import type { FleetRecords } from "@/lib/analyse/known";
import { summariseSignal } from "@/lib/analyse/signal-summary";
import { DAY_MS } from "@/lib/kernel/units";
import { defaultSettings } from "@/lib/settings/settings";
import { at, makeDetector, makeEvent, makeSite, makeWork } from "@/tests/fixtures/records";
import { SIMULATED_AS_OF, simulateFleet } from "@/tests/fixtures/simulated-fleet";

const settings = defaultSettings();
const fleet = simulateFleet({ seed: "origins", detectors: 30 });
const signals = new Map(
  [...fleet.series].flatMap(([id, one]) => {
    const summary = summariseSignal(one, { asOf: SIMULATED_AS_OF, silentAfterHours: settings.silentAfterHours });
    return summary ? [[id, summary] as const] : [];
  }),
);
const historiesOf = (records: FleetRecords, asOf = SIMULATED_AS_OF) =>
  fleetHistory({ records, signals, settings, asOf }).detectors;

function rowsOf(records: FleetRecords, origin: number) {
  const histories = historiesOf(records);
  const weights = yearWeights(fleetSeason([]), { startAt: at("2020-01-01"), endAt: SIMULATED_AS_OF });
  const faults = histories.map((history) => eventRecord(history, "fault"));
  const alarms = histories.map((history) => eventRecord(history, "alarm"));
  return originRows(histories, {
    at: origin,
    days: 90,
    past: true,
    records: faults,
    known: knownRates(histories, { records: faults, at: origin, weights }),
    other: knownRates(histories, { records: alarms, at: origin, weights }),
    weights,
    signals: signalStates(histories, [origin])[0] ?? [],
    byCause: null,
  });
}

describe("what an origin of the past knows", () => {
  test("nothing after an origin changes what its rows know, only what came", () => {
    const origin = SIMULATED_AS_OF - 270 * DAY_MS;
    const rows = rowsOf(fleet.records, origin);
    // Episodes that last over the origin would end otherwise: the day before it is left as it is.
    const altered = {
      ...fleet.records,
      events: fleet.records.events.filter(({ beganAt }, index) => beganAt < origin || index % 3 === 0),
      work: fleet.records.work.filter(({ doneAt }) => doneAt < origin),
    };
    const other = rowsOf(altered, origin);
    expect(other.x).toEqual(rows.x);
    expect(other.counts).not.toEqual(rows.counts);
  });

  test("origins lie a horizon apart and leave half a year of records before the first", () => {
    const { at: moments, days } = originsOf(historiesOf(fleet.records), { asOf: SIMULATED_AS_OF, horizonDays: 90 });
    expect(days).toBe(90);
    expect(moments).toHaveLength(8);
    expect(moments.map((one) => (SIMULATED_AS_OF - one) / DAY_MS)).toEqual([720, 630, 540, 450, 360, 270, 180, 90]);
    const young = historiesOf(
      { sites: [makeSite()], detectors: [makeDetector({ installedOn: "2026-03-01" })], events: [], work: [] },
      SIMULATED_AS_OF,
    );
    expect(originsOf(young, { asOf: SIMULATED_AS_OF, horizonDays: 90 }).at).toEqual([]);
  });
});

describe("the world without a preventive visit", () => {
  const origin = at("2025-01-01");
  const spanWith = (work: Parameters<typeof makeWork>[0], events: FleetRecords["events"] = []) => {
    const detector = makeDetector({ installedOn: "2023-01-01" });
    const { detectorId } = detector;
    const records = {
      sites: [makeSite()],
      detectors: [detector],
      events: events.map((event) => ({ ...event, detectorId })),
      work: [makeWork({ detectorId, done: "2025-02-01T10:00:00Z", ...work })],
    };
    const [history] = fleetHistory({ records, signals: new Map(), settings, asOf: at("2026-01-01") }).detectors;
    return history ? (unvisitedSpan(history, { origin, days: 90 }).endAt - origin) / DAY_MS : null;
  };

  test("ends at a planned cleaning, and not at a call-out or a test", () => {
    // 31 days of January and ten hours.
    expect(spanWith({ task: "clean", reactive: false })).toBeCloseTo(31 + 10 / 24, 6);
    expect(spanWith({ task: "realign", reactive: true })).toBe(90);
    expect(spanWith({ task: "filter_test", reactive: false })).toBe(90);
  });

  test("work that does not say so is a call-out after a fault, and planned otherwise", () => {
    const fault = makeEvent({ beganAt: at("2025-01-28"), endedAt: at("2025-01-29"), condition: "fault" });
    expect(spanWith({ task: "realign", reactive: null }, [fault])).toBe(90);
    expect(spanWith({ task: "realign", reactive: null })).toBeCloseTo(31 + 10 / 24, 6);
  });
});
