import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type ColumnRule,
  calendarOrders,
  type Mapping,
  mappingSchema,
  numberUnits,
} from "@/lib/import/mapping/mapping";
import { missingColumns, missingNeededColumns, rowMapper } from "@/lib/import/mapping/row-mapper";
import { columnsOf, type FileKind, fileKinds } from "@/lib/records/files";

const theirs = ["Panel", "Loop", "Point", "Date", "Time", "Text"];
const events: Mapping = {
  form: 1,
  kind: "events",
  table: {},
  madeFor: theirs,
  columns: {
    detector_id: {
      parts: [
        { column: "panel" },
        { text: "/" },
        { column: "Loop", width: 2 },
        { text: "/" },
        { column: "Point", width: 3 },
      ],
      read: { as: "text" },
    },
    began_at: {
      parts: [{ column: "Date" }, { text: " " }, { column: "Time" }],
      read: { as: "moment", order: "day_first", zone: "site" },
    },
    condition: {
      parts: [{ column: "Text" }],
      read: {
        as: "words",
        match: "inside",
        words: [
          { theirs: "no fault", ours: null },
          { theirs: "fault", ours: "fault" },
          { theirs: "FIRE", ours: "fire" },
        ],
        otherwise: { do: "leave_out" },
      },
    },
  },
};
const map = (...cells: string[]) => rowMapper(events, theirs).map(cells);

describe("a row of a foreign table", () => {
  it("becomes canonical cells: an id put together, a day joined with its time, a word found in a text", () => {
    expect(map("P1", "2", "17", "09/03/2026", "14:05", "Beam  Fault zone 3")).toEqual({
      outcome: "row",
      cells: ["P1/02/017", "2026-03-09T14:05:00", "fault"],
      phase: "whole",
      unmapped: [],
    });
    expect(rowMapper(events, theirs).layout.header).toEqual(["detector_id", "began_at", "condition"]);
  });

  it("takes the first word of the list that stands in the text", () => {
    expect(map("P1", "2", "17", "09/03/2026", "14:05", "No fault")).toMatchObject({
      outcome: "row",
      cells: [expect.anything(), expect.anything(), ""],
    });
  });

  it("is left out by a word nobody wants, even when its other cells cannot be read, and the word is told", () => {
    expect(map("P1", "", "", "never", "", "Door open")).toEqual({
      outcome: "left_out",
      reason: "the mapping leaves out rows with 'Door open' in Text",
      unmapped: [{ column: "condition", word: "Door open" }],
    });
  });

  it("is refused when a part of its id is empty, since the id would be another one", () => {
    expect(map("P1", "", "17", "09/03/2026", "14:05", "fire")).toMatchObject({
      outcome: "refused",
      refusal: { column: "detector_id (from panel, Loop, Point)", reason: expect.stringContaining("Loop is empty") },
    });
    expect(map("", "", "", "09/03/2026", "14:05", "fire")).toMatchObject({
      outcome: "row",
      cells: ["", expect.anything(), "fire"],
    });
  });

  it("is refused with their columns and what stood there when a cell cannot be read", () => {
    expect(map("P1", "2", "17", "31/02/2026", "14:05", "fire")).toMatchObject({
      outcome: "refused",
      refusal: {
        column: "began_at (from Date, Time)",
        value: "31/02/2026 14:05",
        reason: expect.stringContaining("day first"),
      },
    });
  });

  it("is refused when it has more or fewer cells than the header", () => {
    expect(map("P1", "2")).toMatchObject({ outcome: "refused", refusal: { column: "Point" } });
    expect(map("P1", "2", "3", "4", "5", "6", "7")).toMatchObject({ outcome: "refused", refusal: { column: null } });
  });

  it("counts an unknown word also when others give a word of ours", () => {
    const use: Mapping = {
      ...events,
      columns: {
        ...events.columns,
        cause: {
          parts: [{ column: "Text" }],
          read: { as: "words", match: "whole", words: [], otherwise: { do: "use", ours: "unknown" } },
        },
      },
    };
    expect(rowMapper(use, theirs).map(["P1", "2", "17", "09/03/2026", "14:05", "fault"])).toMatchObject({
      outcome: "row",
      cells: ["P1/02/017", "2026-03-09T14:05:00", "fault", "unknown"],
      unmapped: [{ column: "cause", word: "fault" }],
    });
  });

  it("is kept or left out, begins or ends an event, as columns that steer it say", () => {
    const steer = (theirWord: string, ours: string): ColumnRule => ({
      parts: [{ column: "Loop" }],
      read: { as: "words", match: "whole", words: [{ theirs: theirWord, ours }], otherwise: { do: "use", ours: null } },
    });
    const steered = {
      ...events,
      columns: { ...events.columns, row: steer("9", "leave_out"), phase: steer("2", "end") },
    };
    const mapper = rowMapper(steered, theirs);
    expect(mapper.layout.header).toContain("ended_at");
    expect(mapper.map(["P1", "9", "17", "never", "", "fire"])).toMatchObject({ outcome: "left_out" });
    expect(mapper.map(["P1", "2", "17", "09/03/2026", "14:05", "fire"])).toMatchObject({
      outcome: "row",
      phase: "end",
    });
    expect(mapper.map(["P1", "3", "17", "09/03/2026", "14:05", "fire"])).toMatchObject({
      outcome: "row",
      phase: "whole",
    });
    const wrong = { ...events, columns: { ...events.columns, phase: steer("2", "middle") } };
    expect(rowMapper(wrong, theirs).map(["P1", "2", "17", "09/03/2026", "14:05", "fire"])).toMatchObject({
      outcome: "refused",
    });
  });

  it("is refused where an open question leaves it in doubt, and read where it does not", () => {
    const { began_at: begin } = events.columns;
    const open: Mapping = {
      ...events,
      columns: {
        ...events.columns,
        began_at: { parts: begin?.parts ?? [], read: { as: "moment", order: null, zone: "site" } },
      },
    };
    const at = (date: string) => rowMapper(open, theirs).map(["P1", "2", "17", date, "14:05", "fire"]);
    expect(at("03/04/2026")).toMatchObject({
      outcome: "refused",
      refusal: { reason: expect.stringContaining("choose the order") },
    });
    expect(at("23/04/2026")).toMatchObject({ outcome: "row" });
  });
});

describe("a mapping", () => {
  it("names the columns the file lacks, and of these the ones without which nothing is read", () => {
    const zoned: Mapping = {
      ...events,
      columns: { ...events.columns, cause: { parts: [{ column: "Why" }], read: { as: "text" } } },
    };
    expect(missingColumns(zoned, ["PANEL ", "Loop", "Point", "Date", "Text"])).toEqual(["Time", "Why"]);
    expect(missingNeededColumns(zoned, ["panel", "Loop", "Point", "Date", "Text"])).toEqual(["Time"]);
  });

  it("is refused when a unit does not belong to its column, or counts have no full scale", () => {
    const withRead = (read: ColumnRule["read"]) =>
      mappingSchema.safeParse({
        form: 1,
        kind: "readings",
        table: {},
        madeFor: [],
        columns: {
          detector_id: { parts: [{ column: "a" }], read: { as: "text" } },
          read_at: { parts: [{ column: "b" }], read: { as: "text" } },
          signal_pct: { parts: [{ column: "c" }], read },
        },
      }).success;
    expect(withRead({ as: "number", decimal: null, unit: "percent" })).toBe(true);
    expect(withRead({ as: "number", decimal: null, unit: "celsius" })).toBe(false);
    expect(withRead({ as: "number", decimal: null, unit: "counts" })).toBe(false);
    expect(withRead({ as: "number", decimal: null, unit: "counts", fullScale: 4_095 })).toBe(true);
    expect(withRead({ as: "moment", order: null, zone: "site" })).toBe(false);
  });

  it("never throws on any cells, whatever it says", () => {
    const part = fc.oneof(
      fc.record({ column: fc.constantFrom("a", "B", "none") }),
      fc.record({ text: fc.constantFrom("", " ", "-") }),
    );
    const read: fc.Arbitrary<ColumnRule["read"]> = fc.oneof(
      fc.constant({ as: "text" as const }),
      fc.record({
        as: fc.constant("moment" as const),
        order: fc.constantFrom(null, ...calendarOrders),
        zone: fc.constantFrom("site", "Europe/Lisbon"),
      }),
      fc.record({
        as: fc.constant("number" as const),
        decimal: fc.constantFrom(null, "point" as const, "comma" as const),
        unit: fc.constantFrom(...numberUnits),
      }),
      fc.record({
        as: fc.constant("words" as const),
        match: fc.constantFrom("whole" as const, "inside" as const),
        words: fc.array(
          fc.record({ theirs: fc.constantFrom("x", "1", " "), ours: fc.constantFrom(null, "fire", "keep") }),
        ),
        otherwise: fc.constantFrom(
          { do: "refuse" as const },
          { do: "leave_out" as const },
          { do: "use" as const, ours: null },
        ),
      }),
    );
    const mapping = fc
      .constantFrom(...fileKinds)
      .chain((kind: FileKind) =>
        fc
          .dictionary(
            fc.constantFrom(...columnsOf(kind), "row", "phase"),
            fc.record({ parts: fc.array(part, { minLength: 1, maxLength: 3 }), read }),
          )
          .map((columns): Mapping => ({ form: 1, kind, table: {}, columns, madeFor: [] })),
      );
    const cell = fc.oneof(
      fc.string({ maxLength: 15 }),
      fc.constantFrom("09/03/2026 14:05", "03/04/26", "1.234,5", "x", "", "1e400", "24:00"),
    );
    fc.assert(
      fc.property(mapping, fc.array(cell, { maxLength: 3 }), (any, cells) => {
        const mapper = rowMapper(any, ["a", "b"]);
        const mapped = mapper.map(cells);
        expect(["row", "left_out", "refused"]).toContain(mapped.outcome);
        if (mapped.outcome === "row") expect(mapped.cells).toHaveLength(mapper.layout.header.length);
      }),
      { numRuns: 2_000 },
    );
  });
});
