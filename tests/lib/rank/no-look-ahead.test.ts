import { describe, expect, it } from "vitest";
import type { ReadingSeries } from "@/lib/records/reading";
import { rankedJson } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeWork } from "@/tests/fixtures/records";
import { simulateFleet } from "@/tests/fixtures/simulated-fleet";

const asOf = at("2025-11-01");
const fleet = simulateFleet({ seed: "look-ahead", detectors: 60, planted: "season", every: 6 });
const whole = { asOf, records: fleet.records, series: fleet.series };
const before = rankedJson(whole);

describe("a ranking as of a moment", () => {
  it("does not move by a byte when everything after the moment changes", () => {
    const { events, work, detectors, sites } = fleet.records;
    const future = {
      sites,
      detectors: [
        ...detectors.map((detector) => ({ ...detector, lastServiceOn: "2025-11-20" })),
        makeDetector({ detectorId: "D9999", siteId: "S0", installedOn: "2025-11-02" }),
      ],
      events: [
        ...events
          .filter((event) => event.beganAt < asOf)
          .map((event) => (event.endedAt !== null && event.endedAt >= asOf ? { ...event, endedAt: null } : event)),
        ...detectors.map(({ detectorId }) =>
          makeEvent({ detectorId, beganAt: asOf, condition: "fire", verdict: "genuine" }),
        ),
        ...detectors.map(({ detectorId }) => makeEvent({ detectorId, beganAt: asOf + 86_400_000 })),
      ],
      work: [
        ...work.filter((one) => one.doneAt < asOf),
        ...detectors.map(({ detectorId }) => ({ ...makeWork({ detectorId, task: "replace" }), doneAt: asOf })),
      ],
    };
    const series = new Map([...fleet.series].map(([id, readings]) => [id, brokenFrom(readings, asOf)]));
    expect(rankedJson({ asOf, records: future, series })).toBe(before);
  });

  it("does not move by a byte when everything after the moment is missing", () => {
    const { events, work, detectors, sites } = fleet.records;
    const records = {
      sites,
      detectors,
      events: events.filter((event) => event.beganAt < asOf),
      work: work.filter((one) => one.doneAt < asOf),
    };
    const series = new Map([...fleet.series].map(([id, readings]) => [id, cutAt(readings, asOf)]));
    expect(rankedJson({ asOf, records, series })).toBe(before);
  });

  it("moves when something before the moment changes", () => {
    const extra = Array.from({ length: 12 }, (_, index) =>
      makeEvent({ detectorId: "D0001", beganAt: asOf - (index + 1) * 10 * 86_400_000 }),
    );
    const records = { ...fleet.records, events: [...fleet.records.events, ...extra] };
    expect(rankedJson({ ...whole, records })).not.toBe(before);
  });
});

function brokenFrom(readings: ReadingSeries, from: number): ReadingSeries {
  return {
    ...readings,
    signalPct: readings.signalPct.map((pct, index) => ((readings.readAt[index] ?? 0) >= from ? 1 : pct)),
  };
}

function cutAt(readings: ReadingSeries, from: number): ReadingSeries {
  const kept = (column: Float64Array) => column.filter((_, index) => (readings.readAt[index] ?? 0) < from);
  return {
    readAt: kept(readings.readAt),
    signalPct: kept(readings.signalPct),
    compensationPct: kept(readings.compensationPct),
    temperatureC: kept(readings.temperatureC),
  };
}
