import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { guarded, unguarded } from "@/lib/import/reject-cells";
import { safeCell } from "@/lib/report/safe-cell";
import { downloadConflicts } from "@/lib/services/download-conflicts";
import { downloadRejects } from "@/lib/services/download-rejects";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, smallFiles, someOf } from "../../fixtures/import-folder";

/** Cells that spreadsheets run, and those that come near it. */
const risky = fc
  .tuple(
    fc.array(fc.constantFrom("'", " ", "\t", "\r", "\n", "=", "+", "-", "@", "\uff1d", "\u00a0", '"', ","), {
      maxLength: 4,
    }),
    fc.oneof(fc.constantFrom("1+1", "cmd|'/C calc'!A0", "5", "12.50", ""), fc.string()),
  )
  .map(([start, rest]) => start.join("") + rest);

/** What a spreadsheet takes for a formula: blanks aside it begins with one of the signs, and is no plain number. */
const runs = (cell: string) => /^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]/.test(cell) && !/^\s*[+-]?[\d.]+\s*$/.test(cell);

async function textOf(pieces: AsyncIterable<string>): Promise<string> {
  let text = "";
  for await (const piece of pieces) text += piece;
  return text;
}

describe("cells of exports", () => {
  it("are never run by a spreadsheet, and those that come back are what they were", () => {
    fc.assert(
      fc.property(risky, (cell) => {
        expect(runs(guarded(cell))).toBe(false);
        expect(runs(safeCell(cell))).toBe(false);
        expect(unguarded(guarded(cell))).toBe(cell);
      }),
      { numRuns: 5_000 },
    );
  });

  it.each(["-12.5", "+3", "0", "", "plain", "a=b", "2025-01-01"])("leave %j alone", (cell) => {
    expect(guarded(cell)).toBe(cell);
    expect(unguarded(cell)).toBe(cell);
  });

  it("keep an apostrophe that was the sender's own, in our file and in every other", async () => {
    expect(unguarded("'quoted'")).toBe("'quoted'");
    const context = makeContext();
    await importTexts(context, someOf("sites.csv", "detectors.csv"));
    const work = "detector_id,done_at,task,note\nD1,2025-02-02T09:30:00Z,clean,'=1+1\n";
    await importTexts(context, { "work.csv": work });
    expect((await canonicalDump(context.store)).work).toMatchObject([{ note: "'=1+1" }]);
  });
});

describe("the file of rows that did not go in", () => {
  it("imported anew brings the rows as they were sent, formulas, apostrophes and mended cells included", async () => {
    const context = makeContext();
    const work = [
      "detector_id,done_at,task,note",
      "D1,2025-02-02T09:30:00Z,clean,=1+1",
      "D2,2025-02-02T09:30:00Z,clean,'=1+1",
      'D3,2025-02-02T09:30:00Z,clean,"  @a, ""b"""',
      "=D1,2025-02-02T09:30:00Z,clean,-5",
      "D1,never,clean,''+x",
      "",
    ].join("\n");
    const { id } = await importTexts(context, { "work.csv": work });
    const text = await textOf(downloadRejects(context, { importId: id }));
    for (const cell of text.split(/,|\r\n/)) expect(runs(cell)).toBe(false);
    const fresh = makeContext();
    const detectors = `${smallFiles["detectors.csv"]}=D1,S1,Odd,reflective,60,9,90,2024-01-01,35,ladder\n`;
    await importTexts(fresh, { ...someOf("sites.csv"), "detectors.csv": detectors });
    const report = await importTexts(fresh, { "mended.csv": text.replace("never", "2025-02-03T00:00:00Z") });
    expect(report.files).toMatchObject([{ kind: "work", rows: 5, accepted: 5 }]);
    const notes = (await canonicalDump(fresh.store)).work.map(({ detectorId, note }) => [detectorId, note]);
    expect(notes).toEqual([
      ["=D1", "-5"],
      ["D1", "=1+1"],
      ["D1", "''+x"],
      ["D2", "'=1+1"],
      ["D3", '@a, "b"'],
    ]);
  });

  it("of readings is read cell by cell, not past the table from its bytes", async () => {
    const context = makeContext();
    const { id } = await importTexts(context, {
      "readings.csv": "detector_id,read_at,signal_pct\n=D1,2025-01-01T00:00:00Z,90\n",
    });
    const text = await textOf(downloadRejects(context, { importId: id }));
    const report = await importTexts(context, { "mended.csv": text });
    expect(report.files).toMatchObject([{ kind: "readings", rows: 1, waiting: 1 }]);
    const again = await textOf(downloadRejects(context, { importId: report.id }));
    expect(again).toContain(",'=D1,2025-01-01T00:00:00Z,90\r\n");
  });
});

describe("the file of rows that differ from stored ones", () => {
  it("tells value by value what stood, what was sent and which stands, safe to open", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    const changed = {
      "detectors.csv": smallFiles["detectors.csv"].replace("North bay,reflective,60", "=1+1,reflective,61"),
      "readings.csv": smallFiles["readings.csv"].replace("99.5,1,-3.5", "99.25,1,-4.5"),
    };
    const { id } = await importTexts(context, changed);
    await expect(textOf(downloadConflicts(context, { importId: id }))).rejects.toMatchObject({ code: "invalid_input" });
    expect(await textOf(downloadConflicts(context, { importId: id, kind: "detectors" }))).toBe(
      [
        "conflict_file,conflict_line,detector_id,column,stored,sent,stands",
        "detectors.csv,2,D1,label,North bay,'=1+1,stored",
        "detectors.csv,2,D1,path_length_m,60,61,stored",
        "",
      ].join("\r\n"),
    );
    const replaced = await importTexts(context, { "readings.csv": changed["readings.csv"] }, { replaces: true });
    expect(await textOf(downloadConflicts(context, { importId: replaced.id }))).toContain(
      "readings.csv,2,D1,2025-01-01T00:00:00.000Z,temperature_c,-3.5,-4.5,sent\r\n",
    );
    await expect(textOf(downloadConflicts(context, { importId: 99 }))).rejects.toMatchObject({ code: "not_found" });
  });
});
