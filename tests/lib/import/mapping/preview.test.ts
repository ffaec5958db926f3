import { describe, expect, it } from "vitest";
import type { Mapping, MappingDraft } from "@/lib/import/mapping/mapping";
import { previewRows } from "@/lib/import/mapping/preview";
import type { MomentOfDetector } from "@/lib/import/read-row";
import { accepted, refused } from "@/lib/records/outcome";

const columns = ["Beam", "When", "Level"];
const mapping: Mapping = {
  form: 1,
  kind: "readings",
  table: {},
  madeFor: columns,
  columns: {
    detector_id: { parts: [{ column: "Beam" }], read: { as: "text" } },
    read_at: { parts: [{ column: "When" }], read: { as: "moment", order: "day_first", zone: "site" } },
    signal_pct: { parts: [{ column: "Level" }], read: { as: "number", decimal: "comma", unit: "decibel" } },
  },
};
const momentOfDetector: MomentOfDetector = (detectorId) =>
  detectorId === "B1"
    ? accepted({ zone: "Europe/Lisbon", fold: "refuse" })
    : refused({ column: "detector_id", value: detectorId, reason: "is not a known detector", waitsFor: "detector" });
const preview = (cells: readonly string[], draft: MappingDraft = mapping) =>
  previewRows({ mapping: draft, columns, records: [{ line: 2, cells, flaw: null }], momentOfDetector })[0];

describe("the preview of a row", () => {
  it("shows cell by cell what was sent and what it becomes", () => {
    expect(preview(["B1", "09.03.2026 14:05", "3,01"])).toEqual({
      line: 2,
      outcome: "ready",
      reason: null,
      column: null,
      unmapped: [],
      cells: [
        { ours: "detector_id", sent: "B1", text: "B1", problem: null },
        { ours: "read_at", sent: "09.03.2026 14:05", text: "2026-03-09T14:05:00", problem: null },
        // 100 x 10^(-0.301) = 50.003 4...
        { ours: "signal_pct", sent: "3,01", text: "50.0035", problem: null },
      ],
    });
  });

  it("names the cell that cannot be read, whether the mapping or the canonical reader refuses it", () => {
    const byMapping = preview(["B1", "31.02.2026 14:05", "3,01"]);
    expect(byMapping).toMatchObject({ outcome: "refused", column: "read_at" });
    expect(byMapping?.cells[1]).toMatchObject({ problem: expect.stringContaining("does not exist") });
    // 10 dB of gain is 1000 %, and a signal ends at 400 %.
    const byReader = preview(["B1", "09.03.2026 14:05", "-10"]);
    expect(byReader).toMatchObject({
      outcome: "refused",
      column: "signal_pct",
      reason: expect.stringContaining("from Level"),
    });
    expect(byReader?.cells[2]).toMatchObject({ text: "1000", problem: expect.stringContaining("outside 0..400") });
    // The clocks of Lisbon went forward at 01:00 on 2026-03-29.
    expect(preview(["B1", "29.03.2026 01:30", "3,01"])).toMatchObject({ outcome: "refused", column: "read_at" });
  });

  it("tells a row that waits for its detector from one that is wrong", () => {
    expect(preview(["B9", "09.03.2026 14:05", "3,01"])).toMatchObject({ outcome: "waits", column: "detector_id" });
  });

  it("shows what an unfinished mapping still needs", () => {
    const { signal_pct: _, ...rest } = mapping.columns;
    const row = preview(["B1", "09.03.2026 14:05", "3,01"], { ...mapping, columns: rest });
    expect(row).toMatchObject({ outcome: "refused", column: "signal_pct" });
    expect(row?.cells.at(-1)).toMatchObject({ ours: "signal_pct", problem: "is needed; say which column it is" });
  });

  it("shows a line that could not be cut into cells as refused", () => {
    const records = [{ line: 3, cells: ['B1,"'], flaw: "has a stray quote" }];
    expect(previewRows({ mapping, columns, records, momentOfDetector })).toEqual([
      { line: 3, outcome: "refused", reason: "has a stray quote", column: null, cells: [], unmapped: [] },
    ]);
  });
});
