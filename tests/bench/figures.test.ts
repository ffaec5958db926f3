import { describe, expect, it } from "vitest";
import { figure, perCent } from "@/tests/bench/calibration-page";
import { findingsSummary } from "@/tests/bench/findings-summary";
import { inParts, partOf } from "@/tests/bench/in-parts";
import type { FleetLine, KindCounts } from "@/tests/bench/judged-fleet";
import { proportionOf } from "@/tests/bench/proportion";
import { rankingSummary } from "@/tests/bench/ranking-summary";
import { slopeOfLogs } from "@/tests/bench/speed-page";

describe("figures of the bench", () => {
  it("give a share its exact interval", () => {
    // With none of n the upper end solves (1 - p)^n = .025; with all of n the lower end solves p^n = .025.
    expect(proportionOf(0, 20)).toEqual({ count: 0, of: 20, share: 0, low: 0, high: 0.1684 });
    expect(proportionOf(20, 20)).toEqual({ count: 20, of: 20, share: 1, low: 0.8316, high: 1 });
    expect(proportionOf(0, 0)).toEqual({ count: 0, of: 0, share: null, low: 0, high: 1 });
  });

  it("see time that grows with the square of the size as a slope of 2", () => {
    const points = [100, 200, 700].map((size) => ({ size, time: 3 * size ** 2 }));
    expect(slopeOfLogs(points)).toBeCloseTo(2, 9);
  });

  it("count a quiet fleet with one wrong finding of any kind once", () => {
    const none: KindCounts = {
      tested: 10,
      family: 20,
      listed: 0,
      wrong: 0,
      strong: 0,
      strongFound: 0,
      mild: 0,
      mildFound: 0,
      at05: 1,
      at01: 0,
      at001: 0,
    };
    const kinds = { rising_faults: none, seasonal_alarms: none, repeat_realignment: none, signal_drift: none };
    const quiet: FleetLine = { kind: "quiet", simulator: "simple", seed: "a", detectors: 50, kinds };
    const wrong = { ...none, listed: 2, wrong: 2 };
    const speaking = { ...quiet, kinds: { ...kinds, rising_faults: wrong, signal_drift: wrong } };
    const { quiet: summary } = findingsSummary([quiet, speaking]);
    expect(summary.withAnyWrong).toMatchObject({ count: 1, of: 2 });
    expect(summary.kinds.rising_faults).toMatchObject({
      wrong: 2,
      wrongOfDetectors: 0.02,
      at05: 0.1,
      at05OfFamily: 0.05,
    });
    expect(summary.kinds.seasonal_alarms.fleetsWithWrong.count).toBe(0);
  });

  it("miss a target of the tenths where nothing came of what was predicted", () => {
    const tenth = { predicted: 1, expected: 1, realised: 1 };
    const tenths = Array.from({ length: 10 }, (_, place) => (place === 9 ? { ...tenth, realised: 0 } : tenth));
    const line = {
      seed: 1,
      figures: {},
      tenths: { faults: tenths, alarms: tenths, cost: tenths },
      findings: {},
      ms: { simulate: 0, summarise: 0, analyse: 0 },
    };
    const highest = rankingSummary([line]).targets.find(({ target }) => target === "faults: highest of the tenths");
    expect(highest).toMatchObject({ met: false, value: null });
  });

  it("print what cannot be said as a dash", () => {
    expect([figure(null), figure(Number.NaN), figure(0.12345), figure(1234.5), perCent(null), perCent(0.05)]).toEqual([
      "-",
      "-",
      "0.123",
      "1235",
      "-",
      "5.0 %",
    ]);
  });
});

describe("work in parts", () => {
  it("does the places of its part only, in order", async () => {
    const done: number[] = [];
    const work = (place: number) => place;
    for await (const place of inParts(7, { workers: 2, part: partOf("1/2"), work })) done.push(place);
    expect(done).toEqual([1, 3, 5]);
  });

  it.each(["2/2", "x", "1/0", "-1/2"])("refuses %s", (text) => {
    expect(() => partOf(text)).toThrow(RangeError);
  });
});
