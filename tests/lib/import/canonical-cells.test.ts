import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalCells, decimalText } from "@/lib/import/canonical-cells";
import { layoutOf } from "@/lib/import/header";
import { rowReader } from "@/lib/import/read-row";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import { columnsOf } from "@/lib/records/files";

const moment = fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2090, 0, 1) });
const number = (min: number, max: number) =>
  fc.double({ min, max, noNaN: true }).map((value) => (Object.is(value, -0) ? 0 : value));
const text = fc.string({ unit: "binary", minLength: 1, maxLength: 30 }).filter((one) => {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: cells with control characters are refused
  return one.trim() === one && !/[\u0000-\u0008\u000b\u000c\u000e-\u001f]/.test(one) && one !== "";
});
const orNull = <Value>(value: fc.Arbitrary<Value>) => fc.option(value, { nil: null });
const rows: fc.Arbitrary<CanonicalRow> = fc.oneof(
  fc.record({
    kind: fc.constant("readings" as const),
    record: fc.record({
      detectorId: fc.constantFrom("D1", "=D1", "ä b"),
      readAt: moment,
      signalPct: number(0, 400),
      compensationPct: orNull(number(0, 100)),
      temperatureC: orNull(number(-60, 100)),
    }),
  }),
  fc.record({
    kind: fc.constant("work" as const),
    record: fc.record({
      detectorId: fc.constant("D1"),
      doneAt: moment,
      task: fc.constantFrom("clean" as const, "realign" as const),
      result: orNull(fc.constantFrom("pass" as const, "fail" as const)),
      signalBeforePct: orNull(number(0, 400)),
      signalAfterPct: orNull(number(0, 400)),
      durationMin: orNull(number(0, 10_080)),
      reactive: orNull(fc.boolean()),
      told: orNull(text),
      interim: orNull(text),
      note: orNull(text),
    }),
  }),
);

describe("the cells of a record", () => {
  it("are read as the same record again", () => {
    fc.assert(
      fc.property(rows, (row) => {
        const read = rowReader(layoutOf(row.kind, columnsOf(row.kind)), () => ({
          ok: true,
          value: { zone: "Europe/Lisbon", fold: "refuse" },
        }));
        expect(read(canonicalCells(row))).toEqual({ ok: true, value: row });
      }),
      { numRuns: 500 },
    );
  });

  it.each([
    [1e-7, "0.0000001"],
    [-1.5e-9, "-0.0000000015"],
    [1.25e21, "1250000000000000000000"],
    [12.5, "12.5"],
  ])("write %d as %s", (value, digits) => {
    expect(decimalText(value)).toBe(digits);
    expect(Number(decimalText(value))).toBe(value);
  });
});
