import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { Event } from "@/lib/records/event";
import { defaultSettings } from "@/lib/settings/settings";
import { judge, judgeTested, listedBy, printedP } from "@/tests/fixtures/judged";
import { at, makeDetector, makeEvent, makeSite } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const kind = "rising_faults";
const FROM = "2022-01-01";
const asOf = at("2026-01-01");

/** Faults of an hour on days since the beginning of 2022. */
const faultsOn = (days: readonly number[], changes: Partial<Event> = {}) =>
  days.map((day) => makeEvent({ beganAt: Math.round(at(FROM) + day * DAY_MS), ...changes }));
const until = (from: number, to: number, every: number) =>
  Array.from({ length: Math.ceil((to - from) / every) }, (_, index) => from + index * every);
// A work record or an event is needed before a site without readings counts as watched; a test masks and counts nothing.
const watched = makeEvent({ condition: "test", began: FROM, ended: `${FROM}T00:10:00Z` });
const alone = (events: readonly Event[]) => ({ asOf, records: { events: [watched, ...events] } });

describe("too little data about rising faults", () => {
  it.each([
    ["two fault events", alone(faultsOn([400, 1400])), /2 fault events, 3 are needed/],
    ["no fault at all", alone([]), /0 fault events, 3 are needed/],
    ["three records that are one event", alone(faultsOn([1400, 1403, 1406])), /1 fault event, 3 are needed/],
    [
      "179 days under watch",
      {
        asOf,
        records: {
          detectors: [makeDetector({ installedOn: "2025-07-05" })],
          events: [watched, ...faultsOn([1300, 1340, 1380, 1420])],
        },
      },
      /watched for 179 days, 180 are needed/,
    ],
  ])("%s: says why, and is null in the JSON", (_, input, reason) => {
    expect(judge(kind, input)).toEqual({ outcome: "too_little_data", reason: expect.stringMatching(reason) });
    expect(printedP(kind, input)).toBeNull();
  });

  it("with 180 days under watch, all of them recent, the trend alone is tested and no ratio is given", () => {
    const detectors = [makeDetector({ installedOn: "2025-07-04" })];
    const input = { asOf, records: { detectors, events: [watched, ...faultsOn([1420, 1440, 1450])] } };
    const { effect, pValue, sentence } = judgeTested(kind, input);
    expect(effect).toMatchObject({ value: null, low: null, high: null });
    expect(sentence).toBe(
      "3 faults in the last 12 months after 0 in all the time before: too short a time before to give a ratio.",
    );
    expect(pValue).toBeLessThan(0.05);
  });
});

describe("a detector whose faults become more", () => {
  const rising = alone(faultsOn([300, 700, ...until(1110, 1460, 30)]));

  it("is listed, with the ratio inside its interval and the numbers in the sentence", () => {
    const { effect, sentence, pValue } = judgeTested(kind, rising);
    expect(listedBy(kind, rising)).toEqual(["D1"]);
    expect(pValue).toBeLessThan(1e-4);
    // 12 in the last 365 days after 2 in the 1096 before: 12/365 over 2/1096 = 18.
    expect(effect.value).toBeCloseTo(18, 0);
    expect(effect.low).toBeGreaterThan(1);
    expect(effect.low).toBeLessThan(effect.value ?? 0);
    expect(effect.high).toBeGreaterThan(effect.value ?? Infinity);
    expect(sentence).toMatch(
      /^12 faults in the last 12 months after 2 in all the time before: 18 times the earlier rate/,
    );
    expect(sentence).toMatch(/95 % interval \d+(\.\d)? to \d+/);
  });

  it("with no fault before has no ratio and no upper limit, and says so", () => {
    const { effect, sentence } = judgeTested(kind, alone(faultsOn(until(1110, 1460, 60))));
    expect(effect).toMatchObject({ value: null, high: null });
    expect(effect.low).toBeGreaterThan(1);
    expect(sentence).toContain("no upper limit");
    expect(sentence).not.toMatch(/null|NaN|Infinity/);
  });

  it("names a blocked path where the panel gives it", () => {
    expect(judgeTested(kind, rising).threat).toBeNull();
    const blocked = alone(faultsOn([300, 700, ...until(1110, 1460, 30)], { cause: "path_blocked" }));
    expect(judgeTested(kind, blocked).threat).toBe("blocked path");
  });
});

describe("a detector that is not rising", () => {
  const quiet = ["D2", "D3", "D4"].map((detectorId) => makeDetector({ detectorId }));
  it.each([
    ["bad but stable", faultsOn(until(15, 1460, 40))],
    ["getting better", faultsOn([...until(10, 350, 20), 700, 1300])],
    // Chatter of one cause within a week is one event, whatever it counts.
    ["stable with one week of chatter at the end", faultsOn([200, 600, 1000, ...until(1440, 1446, 0.25)])],
    ["hit by power faults of its site only", faultsOn(until(1110, 1460, 20), { cause: "power" })],
    [
      "hit by faults that the whole site starts together",
      ["D1", "D2", "D3", "D4"].flatMap((detectorId) =>
        faultsOn(until(1110, 1460, 20), { detectorId, cause: "unknown" }),
      ),
    ],
  ])("%s is not listed", (_, events) => {
    const detectors = [makeDetector(), ...quiet];
    const input = { asOf, records: { detectors, events: [watched, ...events] } };
    expect(listedBy(kind, input)).toEqual([]);
    const result = judge(kind, input);
    if (result.outcome === "tested") expect(result.pValue).toBeGreaterThan(0.05);
  });

  it("does not count faults during tests of the detector as a rise", () => {
    const tests = until(1110, 1460, 30).map((day) =>
      makeEvent({
        condition: "test",
        beganAt: at(FROM) + day * DAY_MS - 600_000,
        endedAt: at(FROM) + day * DAY_MS + 600_000,
      }),
    );
    const input = alone([...tests, ...faultsOn(until(1110, 1460, 30))]);
    expect(judge(kind, input)).toMatchObject({ outcome: "too_little_data", reason: expect.stringMatching(/^too few/) });
  });

  it("that follows the season of the whole fleet is judged against it", () => {
    // 60 detectors have two faults each late autumn, and so has D1, watched for two years: its four lie late in each year,
    // which alone looks like a trend.
    const detectors = Array.from({ length: 60 }, (_, index) => makeDetector({ detectorId: `E${index}` }));
    const lateAutumn = (detectorId: string, shift: number) =>
      faultsOn(
        [0, 1, 2, 3].flatMap((year) => [year * 365.25 + 320 + (shift % 25), year * 365.25 + 340 + (shift % 20)]),
        {
          detectorId,
        },
      );
    const events = detectors.flatMap(({ detectorId }, index) => lateAutumn(detectorId, index));
    const own = lateAutumn("D1", 7).slice(4);
    const input = { asOf, records: { detectors: [makeDetector({ installedOn: "2024-01-01" }), ...detectors] } };
    const withFleet = judgeTested(kind, {
      ...input,
      records: { ...input.records, events: [watched, ...events, ...own] },
    });
    const without = judgeTested(kind, { ...input, records: { ...input.records, events: [watched, ...own] } });
    expect(withFleet.pValue).toBeGreaterThan(without.pValue);
    expect(withFleet.pValue).toBeGreaterThan(0.1);
  });
});

describe("the published composition", () => {
  type Case = {
    id: string;
    input: { asOf: number; recentDays: number; inService: [number, number][]; events: number[] };
    expected: {
      n: number;
      exposure: number;
      recent: { count: number; exposure: number };
      baseline: { count: number; exposure: number };
      pLaplaceExact: number;
      pRatioMid: number;
      rateRatio?: number | string;
    };
  };
  const { cases }: { cases: Case[] } = JSON.parse(
    readFileSync(new URL("../../../reference/stats/cases_rising.json", import.meta.url), "utf8"),
  );
  // Events and episodes may lie close together in these cases, so joining is switched off.
  const settings = { ...defaultSettings(), clusterJoinDays: 0, episodeJoinMin: 0 };
  const enough = cases.filter(({ input, expected }) => {
    const windows = Math.min(expected.recent.exposure, expected.baseline.exposure);
    return input.recentDays === 365 && expected.n >= 3 && expected.exposure >= 180 && windows >= 30;
  });

  /** A case as records: its gaps are disablements, its events faults that end as they begin. */
  const recordsOf = ({ input }: Case) => {
    const moment = (day: number) => Math.round(at("2015-01-01") + day * DAY_MS);
    const ends = [0, ...input.inService.flat(), input.asOf];
    const gaps = Array.from({ length: ends.length / 2 }, (_, index) => [
      ends[2 * index] ?? 0,
      ends[2 * index + 1] ?? 0,
    ]);
    const events = [
      // A record of a detector elsewhere starts the fleet's watch on day 0.
      makeEvent({ detectorId: "D0", beganAt: moment(0), condition: "test", endedAt: moment(0) }),
      ...gaps.flatMap(([from = 0, to = 0]) =>
        to > from ? [makeEvent({ condition: "disablement", beganAt: moment(from), endedAt: moment(to) - 1 })] : [],
      ),
      ...input.events.map((day) => makeEvent({ beganAt: moment(day), endedAt: moment(day) })),
    ];
    const installedOn = "2010-01-01";
    return {
      asOf: moment(input.asOf),
      settings,
      records: {
        sites: [makeSite(), makeSite({ siteId: "S0" })],
        detectors: [makeDetector({ installedOn }), makeDetector({ detectorId: "D0", siteId: "S0", installedOn })],
        events,
      },
    };
  };

  /** A printed figure against the file's; one without a limit is null here and "Infinity" there. */
  const same = (actual: number | null, expected: number | string | undefined, id: string) => {
    if (typeof expected !== "number") return expect(actual, id).toBeNull();
    expect(Math.abs((actual ?? Number.NaN) - expected), id).toBeLessThanOrEqual(1e-5 * Math.max(1, expected));
  };

  it("is met by what the finding says, from records to ratio, and the interval never contradicts the p-value", () => {
    expect(enough.length).toBeGreaterThan(30);
    for (const one of enough) {
      const { pValue, effect } = judgeTested(kind, recordsOf(one));
      const { pLaplaceExact, pRatioMid, rateRatio } = one.expected;
      // Half of the weight is the trend's, a quarter the year's: the file gives both, and neither alone can be outdone by
      // more than its weight.
      expect(pValue, one.id).toBeGreaterThanOrEqual(Math.min(pLaplaceExact, pRatioMid) * 0.5);
      expect((effect.low ?? 0) > 1, one.id).toBe(pValue < 0.025);
      const inside =
        typeof rateRatio === "number" && rateRatio >= (effect.low ?? 0) && rateRatio <= (effect.high ?? Infinity);
      if (inside) same(effect.value, rateRatio, one.id);
      if (effect.value !== null) expect(effect.value, one.id).toBeGreaterThanOrEqual(effect.low ?? 0);
      if (effect.value !== null) expect(effect.value, one.id).toBeLessThanOrEqual(effect.high ?? Infinity);
    }
  });
});
