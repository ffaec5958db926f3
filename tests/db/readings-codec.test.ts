import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { decodeSeries, decodeTimes, encodeSeries, encodeTimes } from "@/db/readings-codec";
import type { ReadingSeries } from "@/lib/records/reading";

const HOUR = 3_600_000;

type Row = { at: number; signal: number; compensation: number; temperature: number };

function seriesOf(rows: readonly Row[]): ReadingSeries {
  return {
    readAt: Float64Array.from(rows, (row) => row.at),
    signalPct: Float64Array.from(rows, (row) => row.signal),
    compensationPct: Float64Array.from(rows, (row) => row.compensation),
    temperatureC: Float64Array.from(rows, (row) => row.temperature),
  };
}

const value = fc.oneof(
  fc.integer({ min: 0, max: 40_000 }).map((whole) => whole / 100),
  fc.integer({ min: 0, max: 400_000_000 }).map((whole) => whole / 1e6),
  fc.double({ min: 1e-300, max: 400, noNaN: true }),
);
const absentOr = (present: fc.Arbitrary<number>) =>
  fc.oneof({ weight: 3, arbitrary: present }, fc.constant(Number.NaN));
const times = fc.uniqueArray(
  fc.oneof(
    fc.integer({ min: 0, max: 500 }).map((hours) => hours * HOUR),
    fc.integer({ min: -1e13, max: 1e13 }),
  ),
  { maxLength: 60 },
);
const rows = times
  .map((list) => [...list].sort((a, b) => a - b))
  .chain((list) =>
    fc.tuple(
      ...list.map((at) =>
        fc.record({
          at: fc.constant(at),
          signal: value,
          compensation: absentOr(value),
          temperature: absentOr(fc.double({ min: -60, max: 100, noNaN: true }).map((v) => v + 0)),
        }),
      ),
    ),
  );

describe("the bytes of a chunk", () => {
  it("give back exactly the readings that were put in, whatever their resolution", () => {
    fc.assert(
      fc.property(rows, (list) => {
        const series = seriesOf(list);
        const back = decodeSeries(encodeSeries(series));
        for (const column of ["readAt", "signalPct", "compensationPct", "temperatureC"] as const) {
          // -0 is stored as 0; every other value comes back bit by bit
          expect([...back[column]]).toEqual([...series[column]].map((v) => (v === 0 ? 0 : v)));
        }
      }),
      { numRuns: 300 },
    );
  });

  it("take at most 2.5 bytes a reading for six-hourly hundredths that drift slowly", () => {
    const list = Array.from({ length: 365 }, (_, index) => ({
      at: Date.UTC(2025, 0, 1) + index * 6 * HOUR,
      signal: Math.round(9800 - index + (index % 7) * 3) / 100,
      compensation: Number.NaN,
      temperature: Math.round(100 + (index % 4) * 12) / 10,
    }));
    expect(encodeSeries(seriesOf(list)).bytes.length / 365).toBeLessThan(2.5);
  });

  it("refuse times that do not rise and times that are not whole milliseconds", () => {
    const row = { signal: 1, compensation: 1, temperature: 1 };
    expect(() =>
      encodeSeries(
        seriesOf([
          { at: 5, ...row },
          { at: 5, ...row },
        ]),
      ),
    ).toThrow(RangeError);
    expect(() => encodeSeries(seriesOf([{ at: 5.5, ...row }]))).toThrow("whole milliseconds");
  });

  it("are refused with a clear error when any byte is changed, cut off or added", () => {
    const list = Array.from({ length: 40 }, (_, index) => ({
      at: index * HOUR,
      signal: 100 - index / 8,
      compensation: index % 3 === 0 ? Number.NaN : index,
      temperature: 20,
    }));
    const { bytes, checksum } = encodeSeries(seriesOf(list));
    for (let at = 0; at < bytes.length; at += 1) {
      const changed = bytes.slice();
      changed[at] = (changed[at] ?? 0) ^ 0x55;
      expect(() => decodeSeries({ bytes: changed, checksum })).toThrow(/^damaged readings/);
      expect(() => decodeSeries({ bytes: bytes.slice(0, at), checksum })).toThrow(/^damaged readings/);
    }
    expect(() => decodeSeries({ bytes: Uint8Array.from([...bytes, 0]), checksum })).toThrow(/^damaged readings/);
  });

  it("never crash in another way on any bytes given as times", () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 12 }), (bytes) => {
        // The first byte bounds the count here, so that a random one does not ask for much memory.
        const bounded = Uint8Array.from([bytes[0] === undefined ? 0 : bytes[0] % 128, ...bytes.slice(1)]);
        try {
          decodeTimes(bounded);
        } catch (thrown) {
          expect(String(thrown)).toMatch(/damaged readings/);
        }
      }),
    );
  });

  it("hold a regular set of times in a few bytes", () => {
    const regular = Float64Array.from({ length: 2_000 }, (_, index) => index * HOUR);
    const bytes = encodeTimes(regular);
    expect(bytes.length).toBeLessThan(16);
    expect(decodeTimes(bytes)).toEqual(regular);
  });
});
