import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { holdReference } from "@/lib/analyse/holds";
import type { Work } from "@/lib/records/work";
import { judge, judgeTested, listedBy, printedP } from "@/tests/fixtures/judged";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeWork } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const kind = "repeat_realignment";
const FROM = "2022-01-01";
const asOf = at("2026-01-01");

/** Work of one detector on days since the beginning of 2022. */
const workOn = (detectorId: string, days: readonly number[], changes: Partial<Work> = {}) =>
  days.map((day) => ({
    ...makeWork({ detectorId, task: "realign", reactive: true, ...changes }),
    doneAt: Math.round(at(FROM) + day * DAY_MS),
  }));

// Ten others, watched from their installation, each realigned on call-out once in four years.
const others = Array.from({ length: 10 }, (_, index) => makeDetector({ detectorId: `E${index}`, installedOn: FROM }));
const usual = others.flatMap(({ detectorId }, index) => workOn(detectorId, [300 + 100 * index]));
// The fleet's first record, at the moment of installation, makes the age of every first alignment known.
const first = makeEvent({ detectorId: "E0", condition: "test", began: FROM, ended: FROM });
const fleetWith = (
  work: readonly Work[],
  { events = [], fleet = usual } = {} as { events?: (typeof first)[]; fleet?: Work[] },
) => ({
  asOf,
  records: { detectors: [makeDetector(), ...others], events: [first, ...events], work: [...fleet, ...work] },
});

describe("too little data about realignments", () => {
  it("fewer than three failed alignments: says why, is null in the JSON, and still counts as a test made", () => {
    const input = fleetWith(workOn("D1", [400, 460]));
    expect(judge(kind, input)).toEqual({
      outcome: "too_little_data",
      reason: expect.stringMatching(/2 call-out realignments with a known start, 3 are needed/),
      countsInFamily: true,
    });
    expect(printedP(kind, input)).toBeNull();
  });

  it("an alignment older than the records has no known age, so the first realignment is not a failed hold", () => {
    const detectors = [makeDetector({ installedOn: "2020-01-01" }), ...others];
    const input = fleetWith(workOn("D1", [400, 500]));
    expect(judge(kind, { ...input, records: { ...input.records, detectors } })).toMatchObject({
      reason: expect.stringMatching(/1 call-out realignment with a known start/),
    });
  });

  it("a fleet whose other alignments failed fewer than five times gives nothing to compare with", () => {
    const four = fleetWith(workOn("D1", [400, 460, 520]), { fleet: usual.slice(0, 4) });
    expect(judge(kind, four)).toMatchObject({ outcome: "too_little_data", reason: expect.stringMatching(/compare/) });
    expect(printedP(kind, four)).toBeNull();
    const five = fleetWith(workOn("D1", [400, 460, 520]), { fleet: usual.slice(0, 5) });
    expect(judge(kind, five).outcome).toBe("tested");
  });
});

describe("an alignment that does not hold", () => {
  const input = fleetWith(workOn("D1", [60, 135, 215, 285, 350, 430, 520]));

  it("is listed, with the ratio inside its interval and the numbers in the sentence", () => {
    const { effect, sentence, pValue, threat, facts } = judgeTested(kind, input);
    expect(listedBy(kind, input)).toEqual(["D1"]);
    expect(pValue).toBeLessThan(0.001);
    expect(effect.value).toBeGreaterThan(3);
    expect(effect.low).toBeGreaterThan(1);
    expect(effect.low).toBeLessThan(effect.value ?? 0);
    expect(effect.high).toBeGreaterThan(effect.value ?? Infinity);
    expect(sentence).toMatch(/^Realigned on call-out 7 times where the fleet's alignments would have needed [\d.]+:/);
    expect(sentence).toMatch(/95 % interval [\d.]+ to [\d.]+/);
    expect(threat).toBe("mount that will not hold");
    // Holds of 60, 75, 80, 70, 65, 80 and 90 days failed and one of 941 still holds: half of them are left from 75 to 80 days.
    expect(facts).toContainEqual({ label: "Median days held", value: "78" });
  });

  it("shows every hold with how it ended, the open one last", () => {
    const { picture } = judgeTested(kind, input);
    if (picture.type !== "hold") throw new Error(`a picture of holds was expected, not ${picture.type}`);
    expect(picture.holds.map(({ days, failed }) => [Math.round(days), failed])).toEqual([
      ...[60, 75, 80, 70, 65, 80, 90].map((days) => [days, true]),
      [941, false],
    ]);
    expect(picture.holds.at(-1)?.ending).toBe("holds today");
  });
});

describe("realignments that are nothing out of the ordinary", () => {
  it.each([
    ["planned once a quarter", workOn("D1", [90, 180, 270, 360, 450, 540, 630], { reactive: false })],
    [
      "unsaid whether on call-out, without a fault or alarm within two weeks before",
      workOn("D1", [90, 180, 270, 360, 450], { reactive: null }),
    ],
    ["cleanings, however many", workOn("D1", [60, 120, 180, 240, 300], { task: "clean" })],
    ["two call-outs in four years, as others have one", workOn("D1", [500, 1100])],
    // Three visits within three days are one.
    ["one call-out with two returns the next days", workOn("D1", [500, 501, 502.5])],
  ])("%s are not listed", (_, work) => {
    expect(listedBy(kind, fleetWith(work))).toEqual([]);
  });

  it("an unsaid realignment counts as a call-out when the detector's own fault came within two weeks, not later", () => {
    const days = [100, 200, 300, 400];
    const work = workOn("D1", days, { reactive: null });
    const faultsBefore = (lead: number) =>
      days.map((day) => makeEvent({ beganAt: Math.round(at(FROM) + (day - lead) * DAY_MS) }));
    expect(judge(kind, fleetWith(work, { events: faultsBefore(14) })).outcome).toBe("tested");
    expect(judge(kind, fleetWith(work, { events: faultsBefore(14.01) })).outcome).toBe("too_little_data");
  });

  it("an unsaid realignment on a day on which the site's detectors were served is routine, even after a fault", () => {
    const days = [100, 200, 300, 400];
    const events = days.map((day) => makeEvent({ beganAt: Math.round(at(FROM) + (day - 5) * DAY_MS) }));
    const own = workOn("D1", days, { reactive: null });
    // Four others of the eleven were cleaned on the same days.
    const round = ["E0", "E1", "E2", "E3"].flatMap((id) => workOn(id, days, { task: "clean", reactive: false }));
    expect(judge(kind, fleetWith(own, { events })).outcome).toBe("tested");
    expect(judge(kind, fleetWith([...own, ...round], { events })).outcome).toBe("too_little_data");
    const said = workOn("D1", days, { reactive: true });
    expect(judge(kind, fleetWith([...said, ...round], { events })).outcome).toBe("tested");
  });

  it("a detector as bad as all others is not listed, however often it is realigned", () => {
    const bad = others.flatMap(({ detectorId }, index) => workOn(detectorId, [50 + index, 120, 200 + index, 270, 340]));
    expect(listedBy(kind, fleetWith(workOn("D1", [55, 125, 200, 275, 345]), { fleet: bad }))).toEqual([]);
  });
});

describe("realignments on trial", () => {
  const days = [60, 135, 215, 285, 350, 430, 520];
  const faultsNaming = (cause: "path_blocked" | "low_signal" | "unknown") =>
    days.map((day) => makeEvent({ beganAt: Math.round(at(FROM) + (day - 2) * DAY_MS), cause }));

  it("those that got no signal back are no failures of the alignment, those that did are", () => {
    const measured = (signalBeforePct: number) =>
      fleetWith(workOn("D1", days, { signalBeforePct, signalAfterPct: 95 }));
    expect(judge(kind, measured(94.9)).outcome).toBe("too_little_data");
    expect(listedBy(kind, measured(60))).toEqual(["D1"]);
  });

  it("unmeasured, a panel that named a cause besides the signal speaks against the alignment", () => {
    const named = (cause: Parameters<typeof faultsNaming>[0]) =>
      judge(kind, fleetWith(workOn("D1", days), { events: faultsNaming(cause) })).outcome;
    expect(named("path_blocked")).toBe("too_little_data");
    expect(named("low_signal")).toBe("tested");
    expect(named("unknown")).toBe("tested");
  });

  it("a detector that is merely called out to often is not listed for being realigned in proportion", () => {
    // Forty others with one fault a year and one realignment in ten of them; D1 has many faults, realigned as seldom.
    const many = Array.from({ length: 60 }, (_, index) => makeDetector({ detectorId: `F${index}`, installedOn: FROM }));
    const faultsOf = (detectorId: string, gap: number) =>
      Array.from({ length: Math.floor(1400 / gap) }, (_, index) =>
        makeEvent({ detectorId, beganAt: Math.round(at(FROM) + (30 + gap * index) * DAY_MS), cause: "unknown" }),
      );
    const detectors = [makeDetector({ installedOn: FROM }), ...many];
    const events = [
      first,
      ...faultsOf("D1", 30),
      ...many.flatMap(({ detectorId }, index) => faultsOf(detectorId, 180 + 3 * index)),
    ];
    const ordinary = many.flatMap(({ detectorId }, index) =>
      index % 2 === 0 ? workOn(detectorId, [212 + 6 * index]) : [],
    );
    const own = workOn("D1", [152, 362, 602, 842, 1082]);
    const listed = (withFaults: boolean) =>
      listedBy(kind, {
        asOf,
        records: {
          detectors: [makeDetector({ detectorId: "E0", installedOn: FROM }), ...detectors],
          events: withFaults ? events : [first],
          work: [...ordinary, ...own],
        },
      });
    expect(listed(false)).toEqual(["D1"]);
    expect(listed(true)).toEqual([]);
  });
});

describe("the published composition", () => {
  type Case = {
    id: string;
    input: { fleetDays: number[]; fleetEvent: number[]; detectorDays: number[]; detectorEvent: number[] };
    expected: { observed: number; expected: number; ratio: number; low: number; high: number };
  };
  const { cases }: { cases: Case[] } = JSON.parse(
    readFileSync(new URL("../../../reference/stats/cases_realign.json", import.meta.url), "utf8"),
  );
  const end = at("2030-01-01");
  const dateBefore = (days: number) => new Date(end - days * DAY_MS).toISOString().slice(0, 10);

  // Holds no longer than three days are one visit with the next here, and the last hold is always the open one.
  const usable = cases.filter(({ input, expected }) => {
    const failures = input.fleetEvent.filter((event) => event === 1).length;
    const open = input.detectorEvent.every((event, index) => (event === 1) === index < input.detectorEvent.length - 1);
    const whole = input.detectorDays.every((days) => days > 3);
    return expected.observed >= 2 && failures >= 5 && open && whole;
  });

  /** A case as records: each hold of the fleet is a detector of its own, the holds of D1 follow each other. */
  const recordsOf = ({ input }: Case) => {
    const total = input.detectorDays.reduce((sum, days) => sum + days, 0);
    let passed = 0;
    const own = input.detectorDays.slice(0, -1).map((days) => {
      passed += days;
      return { ...makeWork({ task: "realign", reactive: true }), doneAt: end - (total - passed) * DAY_MS };
    });
    const fleet = input.fleetDays.map((days, index) => {
      return makeDetector({ detectorId: `E${index}`, installedOn: dateBefore(days) });
    });
    const failed = fleet
      .filter((_, index) => input.fleetEvent[index] === 1)
      .map(({ detectorId }) => ({ ...makeWork({ detectorId, task: "realign", reactive: true }), doneAt: end - 1 }));
    // One detector older than the first record has no hold of its own and starts the watch before all others.
    const old = makeDetector({ detectorId: "OLD", installedOn: "1950-01-01" });
    return {
      asOf: end,
      records: {
        detectors: [makeDetector({ installedOn: dateBefore(total) }), old, ...fleet],
        events: [makeEvent({ detectorId: "OLD", began: "1960-01-01" })],
        work: [...own, ...failed],
      },
    };
  };

  it("is met by what a detector is compared with, from work records to observed and expected", () => {
    expect(usable.length).toBeGreaterThan(20);
    for (const one of usable) {
      const { detectors, firstRecordAt } = makeHistory(recordsOf(one));
      const found = holdReference(detectors, { firstRecordAt }).comparisonOf("D1");
      // A failed hold of the fleet ends a millisecond early here, which moves nothing but the last digits.
      expect(found?.observed, one.id).toBe(one.expected.observed);
      expect((found?.expected ?? 0) / one.expected.expected, one.id).toBeCloseTo(1, 6);
    }
  });
});
