import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { partFaults } from "@/lib/analyse/common-cause";
import type { Event } from "@/lib/records/event";
import { at, makeEvent } from "@/tests/fixtures/records";

const MINUTE_MS = 60_000;
const start = at("2025-03-01T10:00:00Z");

/** Faults of unknown cause, each so many milliseconds after the start. */
const faultsAt = (starts: Readonly<Record<string, number>>, changes: Partial<Event> = {}) =>
  Object.entries(starts).map(([detectorId, ms]) =>
    makeEvent({ detectorId, beganAt: start + ms, cause: "unknown", ...changes }),
  );

/** Parts the faults of a site with so many detectors in service, by the definition: half, at least 3, within 10 minutes. */
function part(faults: readonly Event[], detectors: number | ((at: number) => number)) {
  return partFaults(faults, {
    inServiceAt: typeof detectors === "number" ? () => detectors : detectors,
    windowMin: 10,
    share: 0.5,
    least: 3,
    joinMin: 30,
  });
}

describe("common cause, by the definition: half of the site's detectors and at least three within ten minutes", () => {
  it.each([
    ["exactly half of six", { A: 0, B: 1000, C: 2000 }, 6, true],
    ["three of seven, less than half", { A: 0, B: 1000, C: 2000 }, 7, false],
    ["all three of three", { A: 0, B: 1000, C: 2000 }, 3, true],
    ["both of two, fewer than three", { A: 0, B: 1000 }, 2, false],
    ["two of four, half but fewer than three", { A: 0, B: 1000 }, 4, false],
    ["the last exactly ten minutes after the first", { A: 0, B: 1000, C: 10 * MINUTE_MS }, 6, true],
    ["the last a millisecond later than that", { A: 0, B: 1000, C: 10 * MINUTE_MS + 1 }, 6, false],
    ["all at the same moment", { A: 0, B: 0, C: 0 }, 6, true],
  ])("%s", (_, starts, detectors, common) => {
    const parted = part(faultsAt(starts), detectors);
    expect(parted.own).toHaveLength(common ? 0 : Object.keys(starts).length);
    expect(parted.episodes).toHaveLength(common ? 1 : 0);
  });

  it("counts detectors, not records: one that chatters is one", () => {
    const chatter = [0, 1, 2, 3].map((minute) => makeEvent({ detectorId: "A", beganAt: start + minute * MINUTE_MS }));
    expect(part(chatter, 4).own).toHaveLength(4);
    const both = [...chatter, makeEvent({ detectorId: "B", beganAt: start + 4 * MINUTE_MS })];
    expect(part(both, 4).own).toHaveLength(5);
  });

  it("takes a power or communication fault of a single detector as the site's", () => {
    const faults = [
      makeEvent({ detectorId: "A", beganAt: start, cause: "power" }),
      makeEvent({ detectorId: "B", beganAt: start + 3 * 3_600_000, cause: "communication" }),
      makeEvent({ detectorId: "C", beganAt: start + 6 * 3_600_000, cause: "low_signal" }),
    ];
    const parted = part(faults, 100);
    expect(parted.own.map((fault) => fault.detectorId)).toEqual(["C"]);
    expect(parted.episodes).toMatchObject([
      { cause: "power", detectors: 1, beganAt: start },
      { cause: "communication", detectors: 1 },
    ]);
  });

  it("counts detectors in service then: three of four is half, three of the ten installed later is not", () => {
    const later = start + 86_400_000;
    const growing = (moment: number) => (moment < later ? 4 : 10);
    const faults = [
      ...faultsAt({ A: 0, B: 0, C: 0 }),
      ...faultsAt({ A: 2 * 86_400_000, B: 2 * 86_400_000, C: 2 * 86_400_000 }),
    ];
    const parted = part(faults, growing);
    expect(parted.own).toHaveLength(3);
    expect(parted.episodes).toMatchObject([{ detectors: 3, beganAt: start }]);
  });

  it("rolls on: each window of ten minutes is looked at, and what belongs to one is one episode", () => {
    const rolling = faultsAt({ A: 0, B: 5 * MINUTE_MS, C: 10 * MINUTE_MS, D: 15 * MINUTE_MS, E: 20 * MINUTE_MS });
    expect(part(rolling, 6)).toMatchObject({ own: [], episodes: [{ detectors: 5 }] });
  });

  it("ends with the last of its faults, and not at all while one of them is open", () => {
    const ends = (endedAt: number | null) =>
      part([...faultsAt({ A: 0, B: 0 }, { endedAt: start + 3_600_000 }), ...faultsAt({ C: 0 }, { endedAt })], 6)
        .episodes[0]?.endedAt;
    expect(ends(start + 7_200_000)).toBe(start + 7_200_000);
    expect(ends(null)).toBeNull();
  });
});

describe("properties", () => {
  const records = fc
    .array(
      fc.record({
        detectorId: fc.constantFrom("A", "B", "C", "D", "E"),
        minute: fc.integer({ min: 0, max: 200 }),
        cause: fc.constantFrom("unknown", "low_signal", "power" as const),
      }),
      { maxLength: 40 },
    )
    .map((rows) =>
      rows
        .map(({ detectorId, minute, cause }) =>
          makeEvent({ detectorId, beganAt: start + minute * MINUTE_MS, cause: cause as Event["cause"] }),
        )
        .sort((a, b) => a.beganAt - b.beganAt || (a.detectorId < b.detectorId ? -1 : 1)),
    );

  it("a fault is the site's exactly when some ten minutes around it hold enough detectors, or by its cause", () => {
    fc.assert(
      fc.property(records, fc.integer({ min: 1, max: 12 }), (faults, detectors) => {
        const { own } = part(faults, detectors);
        const enough = (from: number) => {
          const inWindow = faults.filter((one) => one.beganAt >= from && one.beganAt <= from + 10 * MINUTE_MS);
          const count = new Set(inWindow.map((one) => one.detectorId)).size;
          return count >= 3 && count >= detectors / 2;
        };
        for (const fault of faults) {
          const inSome = faults.some(
            ({ beganAt: from }) => from <= fault.beganAt && fault.beganAt <= from + 10 * MINUTE_MS && enough(from),
          );
          expect(own.includes(fault)).toBe(!inSome && fault.cause !== "power");
        }
      }),
    );
  });

  it("parts every fault once, and no episode counts more detectors than the site has", () => {
    fc.assert(
      fc.property(records, (faults) => {
        const { own, episodes } = part(faults, 5);
        expect(own.length).toBeLessThanOrEqual(faults.length);
        for (const { detectors } of episodes) expect(detectors).toBeLessThanOrEqual(5);
        expect(episodes.length === 0).toBe(own.length === faults.length);
      }),
    );
  });
});
