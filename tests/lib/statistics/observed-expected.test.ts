import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { compareToExpected, oneSampleLogRank } from "@/lib/statistics/observed-expected";
import { nelsonAalen } from "@/lib/statistics/survival";

describe("oneSampleLogRank", () => {
  it("a group against its own hazard is as expected", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 1, maxLength: 20 }), (stops) => {
        const gaps = stops.map((stop, i) => ({ stop, event: i % 3 !== 0 }));
        const { observed, expected } = oneSampleLogRank({ gaps, reference: nelsonAalen(gaps) });
        expect(expected).toBeCloseTo(observed, 9);
      }),
    );
  });

  it("an open gap adds expectation but no event", () => {
    const reference = { time: [10, 20], value: [0.5, 1] };
    const closed = [{ stop: 12, event: true }];
    const found = oneSampleLogRank({ gaps: [...closed, { stop: 25, event: false }], reference });
    expect(found).toMatchObject({ observed: 1, expected: 1.5 });
  });

  it("a gap entered late expects only what follows its entry", () => {
    const reference = { time: [10, 20], value: [0.5, 1] };
    const found = oneSampleLogRank({ gaps: [{ start: 15, stop: 25, event: true }], reference });
    expect(found.expected).toBeCloseTo(0.5, 12);
  });

  it("gaps too short for the fleet to have had any event cannot be tested", () => {
    const found = oneSampleLogRank({ gaps: [{ stop: 5, event: true }], reference: { time: [10], value: [0.5] } });
    expect(found).toMatchObject({ expected: 0, ratio: null, high: null, pGreater: 1, pMid: 1 });
  });
});

describe("compareToExpected", () => {
  it("no event against any expectation: p one, upper limit 3.69 over the expectation", () => {
    const found = compareToExpected({ observed: 0, expected: 2 });
    expect(found).toMatchObject({ ratio: 0, low: 0, pGreater: 1 });
    expect(found.high).toBeCloseTo(3.688879454 / 2, 8);
  });

  it("more events are always stronger evidence", () => {
    const chances = [0, 1, 2, 3, 4, 5].map((observed) => compareToExpected({ observed, expected: 1.3 }).pMid);
    expect([...chances].sort((a, b) => b - a)).toEqual(chances);
    expect(() => compareToExpected({ observed: 0.5, expected: 1 })).toThrow(RangeError);
  });
});
