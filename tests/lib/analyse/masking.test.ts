import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { masksOf } from "@/lib/analyse/masking";
import { contains, lengthOf } from "@/lib/kernel/interval";
import { at, makeEvent, makeWork } from "@/tests/fixtures/records";

const HOUR_MS = 3_600_000;
const asOf = at("2025-06-01");
const noon = at("2025-03-01T12:00:00Z");
const masks = (input: Partial<Parameters<typeof masksOf>[0]>) =>
  masksOf({ events: [], work: [], asOf, openTestHours: 8, ...input });
const isMasked = (input: Partial<Parameters<typeof masksOf>[0]>, moment: number) =>
  contains(masks(input).masked, moment);

describe("a window of a test or a disablement", () => {
  it.each(["test", "disablement"] as const)("masks from its first to its last millisecond: %s", (condition) => {
    const events = [makeEvent({ condition, beganAt: noon, endedAt: noon + HOUR_MS })];
    expect(isMasked({ events }, noon - 1)).toBe(false);
    expect(isMasked({ events }, noon)).toBe(true);
    expect(isMasked({ events }, noon + HOUR_MS)).toBe(true);
    expect(isMasked({ events }, noon + HOUR_MS + 1)).toBe(false);
    expect(masks({ events }).outOfService).toEqual(masks({ events }).masked);
  });

  it("a disablement without an end lasts until the as-of moment", () => {
    const events = [makeEvent({ condition: "disablement", beganAt: noon, ended: null })];
    expect(isMasked({ events }, asOf - 1)).toBe(true);
    expect(lengthOf(masks({ events }).outOfService)).toBe(asOf - noon + 1);
  });

  it("a test without an end masks eight hours, and never beyond the as-of moment", () => {
    const events = [makeEvent({ condition: "test", beganAt: noon, ended: null })];
    expect(isMasked({ events }, noon + 8 * HOUR_MS)).toBe(true);
    expect(isMasked({ events }, noon + 8 * HOUR_MS + 1)).toBe(false);
    const soon = masks({ events, asOf: noon + HOUR_MS }).masked;
    expect(soon).toEqual([{ startAt: noon, endAt: noon + HOUR_MS + 1 }]);
  });

  it("fires and faults mask nothing", () => {
    const events = [makeEvent(), makeEvent({ condition: "fire" })];
    expect(masks({ events })).toEqual({ outOfService: [], masked: [] });
  });
});

describe("the minutes of a work record", () => {
  const work = [makeWork({ durationMin: 45 })];

  it("mask from their first moment to the moment of completion, both included", () => {
    expect(isMasked({ work }, noon - 45 * 60_000 - 1)).toBe(false);
    expect(isMasked({ work }, noon - 45 * 60_000)).toBe(true);
    expect(isMasked({ work }, noon)).toBe(true);
    expect(isMasked({ work }, noon + 1)).toBe(false);
  });

  it("mask records but take no time out of service", () => {
    expect(masks({ work }).outOfService).toEqual([]);
  });

  it("that are not given mask nothing", () => {
    expect(masks({ work: [makeWork()] }).masked).toEqual([]);
  });
});

describe("properties", () => {
  const windows = fc.array(
    fc.record({
      condition: fc.constantFrom("test" as const, "disablement" as const),
      from: fc.integer({ min: 0, max: 1000 }),
      hours: fc.integer({ min: 0, max: 48 }),
    }),
    { maxLength: 12 },
  );
  const eventsOf = (rows: { condition: "test" | "disablement"; from: number; hours: number }[]) =>
    rows.map(({ condition, from, hours }) => {
      const beganAt = at("2025-01-01") + from * HOUR_MS;
      return makeEvent({ condition, beganAt, endedAt: beganAt + hours * HOUR_MS });
    });

  it("the order of records changes nothing, and overlaps count once", () => {
    fc.assert(
      fc.property(windows, (rows) => {
        const events = eventsOf(rows);
        const { outOfService } = masks({ events });
        expect(masks({ events: [...events].reverse() }).outOfService).toEqual(outOfService);
        const sum = rows.reduce((total, { hours }) => total + hours * HOUR_MS + 1, 0);
        const longest = Math.max(0, ...rows.map(({ hours }) => hours * HOUR_MS + 1));
        expect(lengthOf(outOfService)).toBeLessThanOrEqual(sum);
        expect(lengthOf(outOfService)).toBeGreaterThanOrEqual(longest);
      }),
    );
  });
});
