import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { exponentialForgetting } from "@/lib/statistics/exponential-forgetting";
import { exposureBetween, operationalTimes, type Span } from "@/lib/statistics/operational-time";

const spans = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 50 }), fc.integer({ min: 1, max: 200 })), { maxLength: 8 })
  .map((steps) => {
    let at = 0;
    return steps.map(([gap, length]): Span => {
      const start = at + gap;
      at = start + length;
      return [start, at];
    });
  });
const moments = fc.array(fc.integer({ min: 0, max: 2000 }), { maxLength: 20 });

describe("operationalTimes", () => {
  it("every event is either placed in [0, 1) or counted as dropped", () => {
    fc.assert(
      fc.property(spans, moments, fc.integer({ min: 0, max: 1500 }), (inService, events, asOf) => {
        const { u, at, dropped } = operationalTimes({
          inService: Object.freeze(inService),
          events: Object.freeze(events),
          asOf,
        });
        expect(u.length + dropped).toBe(events.length);
        for (const [i, share] of u.entries()) {
          expect(share).toBeGreaterThanOrEqual(0);
          expect(share).toBeLessThan(1);
          expect(inService.some(([start, end]) => at[i]! >= start && at[i]! < end && at[i]! < asOf)).toBe(true);
        }
      }),
    );
  });

  it("a gap in the watch takes no operational time", () => {
    const { u, exposure } = operationalTimes({
      inService: [
        [0, 100],
        [300, 400],
      ],
      events: [50, 350, 200],
      asOf: 400,
    });
    expect(u).toEqual([0.25, 0.75]);
    expect(exposure).toBe(200);
  });

  it("exposure inside and outside a window add up", () => {
    fc.assert(
      fc.property(spans, fc.integer({ min: 0, max: 1000 }), (inService, cut) => {
        const before = exposureBetween(inService, { from: 0, until: cut });
        const after = exposureBetween(inService, { from: cut, until: 1e6 });
        expect(before + after).toBe(exposureBetween(inService, { from: 0, until: 1e6 }));
      }),
    );
  });

  it("never under watch: no exposure, all events dropped", () => {
    expect(operationalTimes({ inService: [], events: [3], asOf: 10 })).toEqual({
      u: [],
      at: [],
      exposure: 0,
      dropped: 1,
    });
  });

  it("spans that overlap or run backwards are refused", () => {
    expect(() =>
      operationalTimes({
        inService: [
          [0, 10],
          [5, 20],
        ],
        events: [],
        asOf: 20,
      }),
    ).toThrow(/overlap/);
    expect(() => exposureBetween([[10, 0]], { from: 0, until: 20 })).toThrow(RangeError);
  });
});

describe("exponentialForgetting", () => {
  it("never weighs more than the plain count and exposure, and a long memory forgets nothing", () => {
    fc.assert(
      fc.property(spans, moments, fc.integer({ min: 1, max: 900 }), (inService, events, tau) => {
        const asOf = 2001;
        const weighed = exponentialForgetting({ inService, events, asOf, tau });
        const plain = exposureBetween(inService, { from: 0, until: asOf });
        expect(weighed.count).toBeLessThanOrEqual(events.length);
        expect(weighed.exposure).toBeLessThanOrEqual(plain + 1e-9);
        const whole = exponentialForgetting({ inService, events, asOf, tau: Infinity });
        expect(whole.count).toBe(events.length);
        expect(whole.exposure).toBeCloseTo(plain, 9);
      }),
    );
  });

  it("an event tau ago weighs one over e; a tau of nothing is refused", () => {
    const { count } = exponentialForgetting({ inService: [], events: [0], asOf: 365, tau: 365 });
    expect(count).toBeCloseTo(Math.exp(-1), 12);
    expect(() => exponentialForgetting({ inService: [], events: [], asOf: 1, tau: 0 })).toThrow(/tau/);
  });
});
