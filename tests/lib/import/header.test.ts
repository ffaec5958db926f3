import { describe, expect, it } from "vitest";
import { readHeader } from "@/lib/import/header";
import { columnsOf, fileKinds, requiredColumnsOf } from "@/lib/records/files";

describe("the header of a file", () => {
  it("tells which of the five files it is, whatever the file is called and in whatever order its columns stand", () => {
    for (const kind of fileKinds) {
      for (const header of [requiredColumnsOf(kind), columnsOf(kind), columnsOf(kind).toReversed()]) {
        expect(readHeader(header, { name: "export-17.csv" })).toMatchObject({ ok: true, layout: { kind, note: null } });
      }
    }
  });

  it("reads column names without regard to blanks and capitals", () => {
    expect(readHeader([" Detector_ID ", "READ_AT", "signal_pct"], { name: "x" })).toMatchObject({ ok: true });
  });

  it("leaves unknown columns aside and says so", () => {
    const result = readHeader(["detector_id", "read_at", "signal_pct", "operator", ""], { name: "x" });
    expect(result).toMatchObject({
      ok: true,
      layout: { kind: "readings", note: "columns not used: operator, (no name)" },
    });
  });

  it("names the nearest file, the missing columns and the unknown ones when required columns are not there", () => {
    const result = readHeader(["detector_id", "read_at", "signal"], { name: "x" });
    expect(result).toMatchObject({
      ok: false,
      column: "signal_pct",
      reason:
        "is nearest to readings.csv, which also needs signal_pct; it does not know signal; add or rename the columns",
    });
  });

  it("says what to do with another separator, a column that stands twice, and a table of something else", () => {
    expect(readHeader(["detector_id;read_at;signal_pct"], { name: "x" })).toMatchObject({
      reason: expect.stringContaining("save it as CSV with commas"),
    });
    expect(readHeader(["detector_id", "read_at", "read_at"], { name: "x" })).toMatchObject({
      column: "read_at",
      reason: expect.stringContaining("stands twice"),
    });
    expect(readHeader(["apples", "pears"], { name: "x" })).toMatchObject({
      reason: expect.stringContaining("has no header of one of the five files"),
    });
  });
});

describe("a header that ends in another line break than its rows", () => {
  it("is refused, since the first row would be lost in it", () => {
    const cells = ["detector_id", "read_at", "signal_pct\rD1", "2026-01-01T00:00:00Z", "99"];
    expect(readHeader(cells, { name: "readings.csv" })).toMatchObject({
      ok: false,
      reason: expect.stringContaining("line break inside the header"),
    });
  });
});
