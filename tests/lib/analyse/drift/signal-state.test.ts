import { describe, expect, it } from "vitest";
import { signalHistoryAt } from "@/lib/analyse/drift/past";
import { signalStateAt, signalStates } from "@/lib/analyse/drift/signal-state";
import { DAY_MS } from "@/lib/kernel/units";
import { AS_OF, DAYS, historiesOf } from "@/tests/lib/analyse/drift/beams";

const startAt = AS_OF - DAYS * DAY_MS;
const only = (beam: Parameters<typeof historiesOf>[0][number]) => {
  const [history] = historiesOf([beam]);
  if (!history) throw new Error("no history");
  return history;
};

describe("the state of a signal at a moment of the past", () => {
  const cleaned = [{ task: "clean" as const, day: 500 }];
  const soiling = only({ db: (day) => 0.002 * (day < 500 ? day : day - 500), work: cleaned });

  it("knows level, slope, margin and days since the last reset", () => {
    const state = signalStateAt(soiling, startAt + 800 * DAY_MS);
    // Day 800 is 300 days after the cleaning: 0.6 dB at 0.002 dB a day, a week's median earlier.
    expect(state?.levelDb).toBeCloseTo(0.59, 1);
    expect(state?.slopeDbPerDay).toBeCloseTo(0.002, 3);
    expect(state?.daysSinceReset).toBe(300);
    // 35 % is 1.871 dB.
    expect(state?.marginLeftDb).toBeCloseTo(1.871 - 0.59, 1);
    expect(state?.compensationPct).toBeNull();
  });

  it("does not move by what comes later", () => {
    const until = startAt + 800 * DAY_MS;
    const later = only({
      db: (day) => (day < 800 ? 0.002 * (day < 500 ? day : day - 500) : 9),
      work: [...cleaned, { task: "realign", day: 900 }],
    });
    const known = (history: typeof later) => {
      const state = signalStateAt(history, until);
      return state && { ...state, chanceOfLimit: state.chanceOfLimit(90) };
    };
    expect(known(later)).toEqual(known(soiling));
  });

  it("is the same for many moments at once as for each with nothing known after it", () => {
    const work = [200, 333, 500, 801].map((day) => ({ task: "clean" as const, day }));
    const beam = only({ db: (day) => 0.002 * (day % 170) + 0.1 * Math.sin(day / 9), work, temperature: true });
    const moments = [150, 333.2, 334, 336.5, 600, 801.5, 1000].map((day) => startAt + day * DAY_MS);
    const told = (state: ReturnType<typeof signalStateAt>) =>
      state && { ...state, chanceOfLimit: state.chanceOfLimit(90) };
    const alone = moments.map((at) => {
      const known = signalHistoryAt(beam, at);
      return known && told(signalStateAt(known, at));
    });
    expect(signalStates(beam, moments).map(told)).toEqual(alone);
  });

  it("sees the limit coming: the chance rises with the horizon and with the level", () => {
    const steep = only({ db: (day) => 0.0016 * day });
    const state = signalStateAt(steep, AS_OF);
    // 1.75 dB on the last day of 1.871 dB: 73 days left.
    expect(state?.chanceOfLimit(180)).toBeGreaterThan(0.9);
    expect(state?.chanceOfLimit(14)).toBeLessThan(state?.chanceOfLimit(90) ?? 0);
    expect(signalStateAt(only({ db: () => 0.1 }), AS_OF)?.chanceOfLimit(90)).toBeLessThan(0.01);
  });

  it("is null before the first reading and after a silence of two months", () => {
    expect(signalStateAt(soiling, startAt - DAY_MS)).toBeNull();
    expect(signalStateAt(soiling, AS_OF + 70 * DAY_MS)).toBeNull();
    expect(signalStateAt({ ...soiling, signal: null }, AS_OF)).toBeNull();
  });
});
