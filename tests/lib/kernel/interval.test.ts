import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { contains, estimate, lengthOf, unionOf, within, without } from "@/lib/kernel/interval";

const spans = fc.array(
  fc
    .tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 0, max: 12 }))
    .map(([startAt, length]) => ({ startAt, endAt: startAt + length })),
  { maxLength: 8 },
);
/** The oracle: a span as the set of whole numbers it covers. */
const points = (list: readonly { startAt: number; endAt: number }[]) =>
  new Set(
    list.flatMap(({ startAt, endAt }) => Array.from({ length: Math.max(0, endAt - startAt) }, (_, i) => startAt + i)),
  );

describe("spans of time", () => {
  it("cover after a union exactly what they covered before, without overlap", () => {
    fc.assert(
      fc.property(spans, (list) => {
        const merged = unionOf(list);
        expect(points(merged)).toEqual(points(list));
        expect(lengthOf(merged)).toBe(points(list).size);
      }),
    );
  });

  it("lose exactly the holes", () => {
    fc.assert(
      fc.property(spans, spans, (list, holes) => {
        const gone = points(holes);
        const left = without(list, holes);
        expect(points(left)).toEqual(new Set([...points(list)].filter((point) => !gone.has(point))));
        expect(lengthOf(left)).toBe(points(left).size);
      }),
    );
  });

  it("say whether an instant is covered, the end not being part", () => {
    fc.assert(
      fc.property(spans, fc.integer({ min: -2, max: 80 }), (list, at) => {
        expect(contains(unionOf(list), at)).toBe(points(list).has(at));
      }),
    );
  });

  it("join across a gap no longer than asked", () => {
    const pair = [
      { startAt: 0, endAt: 10 },
      { startAt: 15, endAt: 20 },
    ];
    expect(unionOf(pair, { joinMs: 5 })).toEqual([{ startAt: 0, endAt: 20 }]);
    expect(unionOf(pair, { joinMs: 4 })).toEqual(pair);
  });

  it("are cut to a window", () => {
    expect(within([{ startAt: 0, endAt: 10 }], { startAt: 4, endAt: 30 })).toEqual([{ startAt: 4, endAt: 10 }]);
    expect(within([{ startAt: 0, endAt: 10 }], { startAt: 10, endAt: 30 })).toEqual([]);
  });
});

describe("an estimate", () => {
  it("refuses ends on the wrong side and numbers that are none", () => {
    expect(() => estimate(1, { low: 2, high: 3 })).toThrow(RangeError);
    expect(() => estimate(Number.NaN, { low: 0, high: 1 })).toThrow(RangeError);
    expect(estimate(1, { low: 0, high: 2 })).toEqual({ mean: 1, low: 0, high: 2 });
  });
});
