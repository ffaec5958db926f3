import { describe, expect, it } from "vitest";
import { realignmentGain } from "@/lib/analyse/realignment-gain";
import { summariseSignal } from "@/lib/analyse/signal-summary";
import type { Work } from "@/lib/records/work";
import { at, makeSeries, makeWork } from "@/tests/fixtures/records";

const asOf = at("2025-06-01");
const realign = (changes: Partial<Work> = {}) =>
  makeWork({ task: "realign", done: "2025-03-01T12:00:00Z", ...changes });

/** Readings that stand at `before` until noon of 2025-03-01 and at `after` since; `play` swings them from day to day. */
function signalOf({ before, after, play = 0 }: { before: number; after: number; play?: number }) {
  const series = makeSeries({
    from: "2025-02-01",
    until: "2025-04-01",
    signal: (day) => (day < 28.5 ? before : after) + (Math.floor(day) % 2 === 0 ? play : -play),
  });
  return summariseSignal(series, { asOf, silentAfterHours: 48 });
}

describe("what a realignment got back", () => {
  it("is read from its own record first", () => {
    const work = realign({ signalBeforePct: 50, signalAfterPct: 100 });
    const gain = realignmentGain(work, { work: [work], signal: signalOf({ before: 90, after: 90 }) });
    // Twice the signal is 10·log10(2) = 3.01 dB.
    expect(gain).toMatchObject({ from: "work record" });
    expect(gain?.gainDb).toBeCloseTo(3.0103, 4);
  });

  it("is else the step of the readings over the day of the work", () => {
    const work = realign();
    const gain = realignmentGain(work, { work: [work], signal: signalOf({ before: 80, after: 100 }) });
    // From 80 to 100 % is 10·log10(1.25) = 0.969 dB.
    expect(gain?.from).toBe("readings");
    expect(gain?.gainDb).toBeCloseTo(0.9691, 3);
    expect(gain?.leastDb).toBeCloseTo(0.1, 6);
  });

  it("must be larger where the readings swing more", () => {
    const work = realign();
    const gain = realignmentGain(work, { work: [work], signal: signalOf({ before: 80, after: 81, play: 8 }) });
    expect(gain?.leastDb).toBeGreaterThan(0.3);
    expect(gain?.gainDb).toBeLessThan(gain?.leastDb ?? 0);
  });

  it("is not known without readings, or where other work of the same days could have done it", () => {
    const work = realign();
    expect(realignmentGain(work, { work: [work], signal: null })).toBeNull();
    const clean = makeWork({ task: "clean", done: "2025-02-27T12:00:00Z" });
    const signal = signalOf({ before: 80, after: 100 });
    expect(realignmentGain(work, { work: [clean, work], signal })).toBeNull();
    const survey = makeWork({ task: "survey", done: "2025-02-27T12:00:00Z" });
    expect(realignmentGain(work, { work: [survey, work], signal })).not.toBeNull();
  });
});
