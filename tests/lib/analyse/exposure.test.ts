import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { episodesOf } from "@/lib/analyse/episodes";
import { exposureOf, siteHearing } from "@/lib/analyse/exposure";
import { type SignalSummary, summariseSignal } from "@/lib/analyse/signal-summary";
import { lengthOf } from "@/lib/kernel/interval";
import { at, makeEvent, makeSeries } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
const asOf = at("2025-03-01");
const fleetFirstAt = at("2024-12-01");

/** Summary of six-hourly readings in the stretches given. */
function summaryOf(stretches: readonly [string, string][], stepHours = 6): SignalSummary {
  const parts = stretches.map(([from, until]) => makeSeries({ from, until, stepHours }));
  const column = (key: keyof (typeof parts)[number]) => Float64Array.from(parts.flatMap((one) => Array.from(one[key])));
  const series = {
    readAt: column("readAt"),
    signalPct: column("signalPct"),
    compensationPct: column("compensationPct"),
    temperatureC: column("temperatureC"),
  };
  const summary = summariseSignal(series, { asOf, silentAfterHours: 48 });
  if (!summary) throw new Error("the stretches hold no reading before the as-of moment");
  return summary;
}

const hearing = (signals: readonly SignalSummary[], eventTimes: readonly number[] = []) =>
  siteHearing({ signals, eventTimes, fleetFirstAt, asOf, silentAfterHours: 48 });
const never = hearing([]);

describe("when a site is heard", () => {
  it("a site that never sends readings is heard from the fleet's first record on and never silent", () => {
    expect(never).toEqual({ sendsReadings: false, observedFrom: fleetFirstAt, silent: [], lastRecordAt: null });
    expect(hearing([], [at("2025-01-05")])).toMatchObject({
      observedFrom: fleetFirstAt,
      lastRecordAt: at("2025-01-05"),
    });
  });

  it("a site that sends readings is heard from its own first record on, be it a reading or an event", () => {
    const signals = [summaryOf([["2025-01-10", "2025-03-01"]])];
    expect(hearing(signals).observedFrom).toBe(at("2025-01-10"));
    expect(hearing(signals, [at("2025-01-02")]).observedFrom).toBe(at("2025-01-02"));
  });

  it("is not silent after a gap of exactly 48 hours, and from 48 hours after the last record after a longer one", () => {
    // The last of six-hourly readings before 11 January stands at 18:00 on the 10th; two days later is 18:00 on the 12th.
    const exact = [
      summaryOf([
        ["2025-01-01", "2025-01-11"],
        ["2025-01-12T18:00:00Z", "2025-03-01"],
      ]),
    ];
    expect(hearing(exact).silent).toEqual([]);
    const longer = [
      summaryOf([
        ["2025-01-01", "2025-01-11"],
        ["2025-01-13", "2025-03-01"],
      ]),
    ];
    const { silent } = hearing(longer);
    expect(silent).toHaveLength(1);
    // The span of a reading ends a millisecond after it.
    expect(silent[0]?.startAt).toBe(at("2025-01-12T18:00:00Z") + 1);
    expect(silent[0]?.endAt).toBe(at("2025-01-13"));
  });

  it("is still silent at the as-of moment when nothing came since", () => {
    const { silent } = hearing([summaryOf([["2025-01-01", "2025-02-01"]])]);
    expect(silent).toEqual([{ startAt: at("2025-02-02T18:00:00Z") + 1, endAt: asOf }]);
  });

  it("an event breaks the silence for two days, and so does another detector of the site", () => {
    const quiet = summaryOf([["2025-01-01", "2025-02-01"]]);
    const days = (spans: readonly { startAt: number; endAt: number }[]) => lengthOf(spans) / DAY_MS;
    const alone = days(hearing([quiet]).silent);
    expect(alone - days(hearing([quiet], [at("2025-02-10")]).silent)).toBeCloseTo(2, 6);
    expect(hearing([quiet, summaryOf([["2025-01-20", "2025-03-01"]])]).silent).toEqual([]);
  });

  it("waits five usual intervals where that is longer than two days", () => {
    const daily = [
      summaryOf(
        [
          ["2025-01-01", "2025-02-01"],
          ["2025-02-05", "2025-03-01"],
        ],
        24,
      ),
    ];
    expect(hearing(daily).silent).toEqual([]);
    const longer = [
      summaryOf(
        [
          ["2025-01-01", "2025-02-01"],
          ["2025-02-08", "2025-03-01"],
        ],
        24,
      ),
    ];
    // Last reading on 31 January, so silent from 5 February.
    expect(hearing(longer).silent.map(({ startAt }) => startAt - 1)).toEqual([at("2025-02-05")]);
  });
});

describe("the exposure of a detector", () => {
  const exposure = (changes: Partial<Parameters<typeof exposureOf>[0]>) =>
    exposureOf({ installedAt: 0, hearing: never, outOfService: [], faults: [], asOf, ...changes });
  const faultsOf = (events: Parameters<typeof episodesOf>[0]) => episodesOf(events, { joinMin: 30 });

  it("starts with the installation where that is midway, else when the site is first heard", () => {
    expect(exposure({}).observed).toEqual([{ startAt: fleetFirstAt, endAt: asOf }]);
    expect(exposure({ installedAt: at("2025-02-01") }).observed).toEqual([{ startAt: at("2025-02-01"), endAt: asOf }]);
  });

  it("is empty for a detector installed at the as-of moment", () => {
    expect(exposure({ installedAt: asOf })).toEqual({ inService: [], observed: [], faultRisk: [] });
  });

  it("is empty while a disablement that began before the first record is still open", () => {
    expect(exposure({ outOfService: [{ startAt: 0, endAt: asOf + 1 }] }).observed).toEqual([]);
    expect(exposure({ outOfService: [{ startAt: 0, endAt: asOf + 1 }] }).inService).toHaveLength(1);
  });

  it("leaves an open fault out of the time at risk, but for its first moment, which is where it is counted", () => {
    const beganAt = at("2025-01-10");
    const faults = faultsOf([makeEvent({ beganAt, endedAt: beganAt + 2 * DAY_MS })]);
    expect(exposure({ faults }).faultRisk).toEqual([
      { startAt: fleetFirstAt, endAt: beganAt + 1 },
      { startAt: beganAt + 2 * DAY_MS, endAt: asOf },
    ]);
  });

  it("takes a fault without an end as open for thirty days at most", () => {
    const open = (began: string) => {
      const { observed, faultRisk } = exposure({ faults: faultsOf([makeEvent({ began, ended: null })]) });
      return (lengthOf(observed) - lengthOf(faultRisk)) / DAY_MS;
    };
    expect(open("2025-01-01")).toBeCloseTo(30, 6);
    expect(open("2025-02-19")).toBeCloseTo(10, 6);
  });

  it("overlapping gaps are left out once: what is lost is at least the longest and at most their sum", () => {
    const gap = fc.record({ from: fc.integer({ min: 0, max: 80 * 24 }), hours: fc.integer({ min: 1, max: 500 }) });
    fc.assert(
      fc.property(fc.array(gap, { minLength: 1, maxLength: 10 }), (gaps) => {
        const outOfService = gaps.map(({ from, hours }) => {
          const startAt = fleetFirstAt + from * HOUR_MS;
          return { startAt, endAt: Math.min(asOf, startAt + hours * HOUR_MS) };
        });
        const { inService, observed } = exposure({ outOfService });
        const lost = lengthOf(inService) - lengthOf(observed);
        const lengths = outOfService.map(({ startAt, endAt }) => endAt - startAt);
        expect(lost).toBeLessThanOrEqual(lengths.reduce((sum, length) => sum + length, 0));
        expect(lost).toBeGreaterThanOrEqual(Math.max(...lengths));
        expect(exposure({ outOfService: [...outOfService].reverse() }).observed).toEqual(observed);
      }),
    );
  });
});
