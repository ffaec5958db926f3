import { describe, expect, it } from "vitest";
import { lengthOf } from "@/lib/kernel/interval";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeSeries, makeWork } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const asOf = at("2026-01-01");
const only = (input: Omit<Parameters<typeof makeHistory>[0], "asOf">) => {
  const history = makeHistory({ asOf, ...input });
  const [detector] = history.detectors;
  const [site] = history.sites;
  if (!detector || !site) throw new Error("the fixture has one site with a detector");
  return { history, detector, site };
};
const observedDays = (spans: Parameters<typeof lengthOf>[0]) => lengthOf(spans) / DAY_MS;

describe("masking", () => {
  const during = makeEvent({ began: "2025-03-01T10:30:00Z", ended: null });

  it.each([
    ["a test", [makeEvent({ condition: "test", began: "2025-03-01T10:00:00Z", ended: "2025-03-01T11:00:00Z" })]],
    ["a test without an end", [makeEvent({ condition: "test", began: "2025-03-01T03:00:00Z", ended: null })]],
    ["a disablement that still lasts", [makeEvent({ condition: "disablement", began: "2025-01-01", ended: null })]],
  ])("drops a fault that begins during %s", (_, windows) => {
    const { detector } = only({ records: { events: [...windows, during, makeEvent({ began: "2024-02-01" })] } });
    expect(detector.faults.map((fault) => fault.beganAt)).toEqual([at("2024-02-01")]);
  });

  it("drops a fire within the minutes of a work record, and keeps one a minute before them", () => {
    const fires = ["11:14", "11:16", "12:00"].map((time) =>
      makeEvent({ condition: "fire", began: `2025-03-01T${time}:00Z`, ended: `2025-03-01T${time}:30Z` }),
    );
    const { detector } = only({ records: { events: fires, work: [makeWork({ durationMin: 45 })] } });
    expect(detector.fires.map((fire) => fire.beganAt)).toEqual([at("2025-03-01T11:14:00Z")]);
  });

  it("keeps a fire open when a fault follows it", () => {
    const fire = makeEvent({ condition: "fire", began: "2025-03-01T10:00:00Z", ended: null });
    const fault = makeEvent({ began: "2025-03-01T10:05:00Z" });
    expect(only({ records: { events: [fire, fault] } }).detector.fires).toMatchObject([{ endedAt: null }]);
  });
});

describe("common cause", () => {
  const detectors = ["A", "B", "C", "D", "E", "F"].map((detectorId) => makeDetector({ detectorId }));
  const faults = (ids: string[], minutes: number) =>
    ids.map((detectorId, index) =>
      makeEvent({ detectorId, beganAt: at("2025-03-01") + index * minutes * 60_000, cause: "unknown" }),
    );
  const own = (events: ReturnType<typeof makeEvent>[]) => {
    const { history, site } = only({ records: { detectors, events } });
    return { own: history.detectors.flatMap((one) => one.faults).length, sites: site.commonCause };
  };

  it("gives the site what starts on half of its detectors within ten minutes", () => {
    expect(own(faults(["A", "B", "C"], 5))).toMatchObject({ own: 0, sites: [{ detectors: 3 }] });
  });

  it.each([
    ["fewer than half start", faults(["A", "B"], 1)],
    ["they start over more than ten minutes", faults(["A", "B", "C"], 6)],
  ])("leaves faults to the detectors when %s", (_, events) => {
    expect(own(events)).toEqual({ own: events.length, sites: [] });
  });

  it("gives every power and communication fault to the site", () => {
    const events = [
      makeEvent({ detectorId: "A", cause: "power" }),
      makeEvent({ detectorId: "B", cause: "communication", began: "2025-06-01" }),
    ];
    expect(own(events)).toMatchObject({ own: 0, sites: [{ cause: "power" }, { cause: "communication" }] });
  });

  it("needs three detectors even on a site of two", () => {
    const two = detectors.slice(0, 2);
    const { history } = only({ records: { detectors: two, events: faults(["A", "B"], 1) } });
    expect(history.detectors.flatMap((one) => one.faults)).toHaveLength(2);
  });
});

describe("exposure", () => {
  it("starts at the fleet's first record where a site sends no readings", () => {
    const { detector } = only({ records: { events: [makeEvent({ began: "2025-01-01" })] } });
    expect(observedDays(detector.exposure.observed)).toBe(365);
  });

  it("starts at installation where that is later", () => {
    const late = makeDetector({ installedOn: "2025-12-02" });
    const { detector } = only({ records: { detectors: [late], work: [makeWork({ done: "2025-01-01" })] } });
    expect(observedDays(detector.exposure.observed)).toBe(30);
  });

  it("leaves out overlapping disablements and tests once", () => {
    const events = [
      makeEvent({ condition: "disablement", began: "2025-02-01", ended: "2025-02-11" }),
      makeEvent({ condition: "test", began: "2025-02-06", ended: "2025-02-16" }),
      makeEvent({ began: "2025-01-01" }),
    ];
    expect(observedDays(only({ records: { events } }).detector.exposure.observed)).toBeCloseTo(350, 6);
  });

  it("leaves out the silence of a site that sends readings, from two days after its last record", () => {
    const first = makeSeries({ from: "2025-01-01", until: "2025-03-01" });
    const second = makeSeries({ from: "2025-04-01", until: "2026-01-01" });
    const joined = { ...first };
    for (const key of ["readAt", "signalPct", "compensationPct", "temperatureC"] as const) {
      joined[key] = Float64Array.from([...first[key], ...second[key]]);
    }
    const { detector, site } = only({ series: new Map([["D1", joined]]) });
    // Last reading on 28 February at 18:00, silent from 2 March at 18:00 until 1 April.
    expect(site.hearing.silent).toHaveLength(1);
    expect(observedDays(detector.exposure.observed)).toBeCloseTo(365 - 29.25, 3);
  });

  it("waits five usual intervals where readings are rare", () => {
    const weekly = makeSeries({ from: "2025-01-01", until: "2026-01-01", stepHours: 24 * 7 });
    expect(only({ series: new Map([["D1", weekly]]) }).site.hearing.silent).toEqual([]);
  });

  it("leaves known open-fault time out of the time at risk of a fault", () => {
    const events = [makeEvent({ began: "2025-01-01" }), makeEvent({ began: "2025-06-01", ended: "2025-06-21" })];
    const { detector } = only({ records: { events } });
    const { observed, faultRisk } = detector.exposure;
    expect(observedDays(observed) - observedDays(faultRisk)).toBeCloseTo(20 + 0.5 / 24, 3);
  });
});

describe("what is known", () => {
  it("leaves out detectors installed after the as-of moment and forgets a later service", () => {
    const detectors = [
      makeDetector({ lastServiceOn: "2026-02-01" }),
      makeDetector({ detectorId: "D2", installedOn: "2026-01-01" }),
    ];
    const { history, detector } = only({ records: { detectors } });
    expect(history.detectors).toHaveLength(1);
    expect(detector.detector.lastServiceOn).toBeNull();
  });

  it("takes an event that ends later as still open", () => {
    const events = [makeEvent({ began: "2025-12-31", ended: "2026-01-02" })];
    expect(only({ records: { events } }).detector.faults).toMatchObject([{ endedAt: null }]);
  });
});
