import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { hazardWithout } from "@/lib/statistics/leave-one-out";
import { logRank } from "@/lib/statistics/log-rank";
import { kaplanMeier, nelsonAalen, restrictedMean, riskTable, stepAt, survivalAt } from "@/lib/statistics/survival";

const spell = fc
  .record({ start: fc.integer({ min: 0, max: 20 }), length: fc.integer({ min: 1, max: 40 }), event: fc.boolean() })
  .map(({ start, length, event }) => ({ start, stop: start + length, event }));
const spells = fc.array(spell, { maxLength: 30 });

describe("riskTable", () => {
  it("counts at each event time those who had entered before and not yet left", () => {
    fc.assert(
      fc.property(spells, (group) => {
        const { time, events, atRisk } = riskTable(Object.freeze([...group]));
        for (const [i, at] of time.entries()) {
          expect(events[i]).toBe(group.filter((s) => s.event && s.stop === at).length);
          expect(atRisk[i]).toBe(group.filter((s) => (s.start < at || s.start === 0) && at <= s.stop).length);
        }
      }),
    );
  });

  it("an event on the first day has a risk set; a spell that ends before it starts is refused", () => {
    expect(
      riskTable([
        { stop: 0, event: true },
        { stop: 5, event: false },
      ]),
    ).toEqual({ time: [0], events: [1], atRisk: [2] });
    expect(() => riskTable([{ start: 5, stop: 4, event: false }])).toThrow(RangeError);
    expect(() => riskTable([{ start: 5, stop: 5, event: true }])).toThrow(/time at risk/);
    expect(() => riskTable([{ stop: Number.NaN, event: true }])).toThrow(RangeError);
  });
});

describe("kaplanMeier", () => {
  it("without cut-offs it is one less the share that has failed", () => {
    const { time, survival } = kaplanMeier([4, 1, 3, 2].map((stop) => ({ stop, event: true })));
    expect(time).toEqual([1, 2, 3, 4]);
    expect(survival).toEqual([0.75, 0.5, 0.25, 0].map((s) => expect.closeTo(s, 12)));
  });

  it("falls from one, and its limits hold it", () => {
    fc.assert(
      fc.property(spells, (group) => {
        const { survival, low, high } = kaplanMeier(group);
        let before = 1;
        for (const [i, s] of survival.entries()) {
          expect(s).toBeLessThanOrEqual(before);
          if (s > 0) {
            expect(low[i]!).toBeLessThanOrEqual(s);
            expect(high[i]!).toBeGreaterThanOrEqual(s);
          } else expect([low[i], high[i]]).toEqual([null, null]);
          before = s;
        }
      }),
    );
  });

  it("nobody failed: no step, no median, the restricted mean is the horizon", () => {
    const curve = kaplanMeier([{ stop: 9, event: false }]);
    expect(curve).toMatchObject({ time: [], survival: [], median: null, medianLow: null, medianHigh: null });
    expect(restrictedMean(curve, 30)).toBe(30);
    expect(survivalAt(curve, 10)).toEqual({ survival: 1, low: 1, high: 1 });
  });

  it("exactly one half: the median is the middle of the flat part", () => {
    expect(kaplanMeier([1, 2, 6, 8].map((stop) => ({ stop, event: true }))).median).toBe(4);
  });
});

describe("hazardWithout", () => {
  it("is the hazard of the others, for any unit of any fleet", () => {
    fc.assert(
      fc.property(spells, spells, (others, own) => {
        const without = hazardWithout(riskTable([...others, ...own]), own);
        const plain = nelsonAalen(others);
        expect(without.time).toEqual(plain.time);
        for (const [i, value] of without.value.entries()) expect(value).toBeCloseTo(plain.value[i]!, 10);
      }),
    );
  });

  it("a unit that is not in the table is noticed", () => {
    const table = riskTable([{ stop: 5, event: true }]);
    expect(() =>
      hazardWithout(table, [
        { stop: 5, event: true },
        { stop: 5, event: true },
      ]),
    ).toThrow(RangeError);
  });
});

describe("stepAt", () => {
  it("is 0 before the first step, takes the step at its moment, and stays flat after the last", () => {
    const steps = { time: [2, 5], value: [0.5, 1.25] };
    expect([1.9, 2, 4.9, 5, 99].map((at) => stepAt(steps, at))).toEqual([0, 0.5, 0.5, 1.25, 1.25]);
    expect(stepAt({ time: [], value: [] }, 3)).toBe(0);
  });
});

describe("logRank", () => {
  it("observed and expected have the same sum, and the order of groups does not matter", () => {
    fc.assert(
      fc.property(spells, spells, spells, (a, b, c) => {
        const found = logRank([a, b, c]);
        const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
        expect(sum(found.expected)).toBeCloseTo(sum(found.observed), 8);
        expect(logRank([c, a, b]).chiSquare).toBeCloseTo(found.chiSquare, 6);
      }),
    );
  });

  it("the same spells twice do not differ", () => {
    const group = [3, 5, 8, 13].map((stop) => ({ stop, event: true }));
    expect(logRank([group, group]).chiSquare).toBeCloseTo(0, 12);
  });

  it("no event: no evidence; one group alone is refused", () => {
    expect(logRank([[{ stop: 4, event: false }], []])).toMatchObject({ chiSquare: 0, p: 1 });
    expect(() => logRank([[]])).toThrow(/two groups/);
  });
});
