import { describe, expect, it } from "vitest";
import { knownOutcome, realisedIn } from "@/lib/rank/backtest/outcome";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeWork } from "@/tests/fixtures/records";

const horizon = { startAt: at("2025-03-01"), endAt: at("2025-05-30") };
const realised = (records: Parameters<typeof makeHistory>[0]["records"]) => {
  const filled = { events: [makeEvent({ began: "2024-01-01T00:00:00Z" }), ...(records?.events ?? [])] };
  return realisedIn(
    knownOutcome(makeHistory({ asOf: at("2025-08-01"), records: { ...records, ...filled } })).get("D1"),
    horizon,
  );
};

describe("what followed at a detector", () => {
  it("counts episodes that began within the horizon, its first moment in and its end out", () => {
    const events = ["2025-02-28T23:00:00Z", "2025-03-01T00:00:00Z", "2025-04-01T10:00:00Z", "2025-05-30T00:00:00Z"].map(
      (began) => makeEvent({ began, ended: null }),
    );
    expect(realised({ events }).faults).toBe(2);
  });

  it("counts what follows within half an hour once, a false alarm of its own, and no genuine fire", () => {
    const events = [
      makeEvent({ began: "2025-04-01T10:00:00Z" }),
      makeEvent({ began: "2025-04-01T10:40:00Z" }),
      makeEvent({ began: "2025-04-02T10:00:00Z", condition: "fire", verdict: "equipment" }),
      makeEvent({ began: "2025-04-03T10:00:00Z", condition: "fire", verdict: "genuine" }),
      makeEvent({ began: "2025-04-04T10:00:00Z", condition: "fire", verdict: "good_intent" }),
    ];
    expect(realised({ events })).toMatchObject({ faults: 1, alarms: 1 });
  });

  it("leaves out what struck the whole site", () => {
    const detectors = ["D1", "D2", "D3", "D4"].map((detectorId) => makeDetector({ detectorId }));
    const events = detectors.map(({ detectorId }) => makeEvent({ detectorId, began: "2025-04-01T10:00:00Z" }));
    expect(realised({ detectors, events }).faults).toBe(0);
  });

  it("knows planned preventive work from call-outs, tests and other times", () => {
    const visited = (changes: Parameters<typeof makeWork>[0]) => realised({ work: [makeWork(changes)] }).visited;
    expect(visited({ done: "2025-04-01T12:00:00Z" })).toBe(true);
    expect(visited({ done: "2025-04-01T12:00:00Z", reactive: null })).toBe(true);
    expect(visited({ done: "2025-04-01T12:00:00Z", reactive: true })).toBe(false);
    expect(visited({ done: "2025-04-01T12:00:00Z", task: "filter_test" })).toBe(false);
    expect(visited({ done: "2025-06-01T12:00:00Z" })).toBe(false);
  });

  it("tells the observed days, without a disablement", () => {
    const disabled = makeEvent({
      began: "2025-03-11T00:00:00Z",
      ended: "2025-03-21T00:00:00Z",
      condition: "disablement",
    });
    // 90 days less 10.
    expect(realised({ events: [disabled] }).observedDays).toBeCloseTo(80, 3);
    expect(realisedIn(undefined, horizon)).toEqual({ faults: 0, alarms: 0, observedDays: 0, visited: false });
  });
});
