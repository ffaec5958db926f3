import { writeFileSync } from "node:fs";
import { join } from "node:path";
import ExcelJS from "exceljs";
import { beforeEach, describe, expect, it } from "vitest";
import type { Context } from "@/lib/services/context";
import { importFiles } from "@/lib/services/import-files";
import { saveMapping } from "@/lib/services/mappings";
import { type FilePreview, previewFile } from "@/lib/services/preview-file";
import { type Look, readLook } from "@/lib/services/staged-reading";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, someOf } from "../../fixtures/import-folder";
import { panelDetectors, panelFile, panelMapping } from "../../fixtures/panel-file";
import { scratchFolder } from "../../fixtures/scratch-folder";

let context: Context;
let path = "";
beforeEach(async () => {
  context = makeContext();
  await importTexts(context, panelDetectors);
  await importTexts(context, someOf("sites.csv", "detectors.csv"));
  path = join(scratchFolder(), "sent.csv");
});

const preview = (look: Partial<Look> = {}): Promise<FilePreview> =>
  previewFile(context, { name: "sent.csv", path, look: readLook(look) });
const ours = (shown: FilePreview, column: string) => shown.ours.find((one) => one.column === column);

describe("a preview of a file", () => {
  it("foretells what an import does with the same mapping, row by row, and stores nothing itself", async () => {
    writeFileSync(path, panelFile);
    const before = await canonicalDump(context.store);
    const shown = await preview({ draft: panelMapping });
    expect(await canonicalDump(context.store)).toEqual(before);
    const { files } = await importFiles(context, { files: [{ name: "sent.csv", path, mapping: panelMapping }] });
    const [file] = files;
    expect(shown.seen).toMatchObject({
      rows: file?.rows,
      left_out: file?.leftOut,
      refused: file?.refused,
      waits: file?.waiting,
    });
    expect(shown.seen.ready + shown.seen.joins).toBe(file?.accepted);
  });

  it("shows each cell as it came and as it is stored, and why a row does not go in", async () => {
    writeFileSync(
      path,
      `Detector;Time;Signal %\nD1;23.04.2025 07:15;98,5\nD2;24.04.2025 07:15;loose\n${"D2;25.04.2025 07:15;97\n".repeat(8)}`,
    );
    const shown = await preview();
    expect(shown.rows[0]).toMatchObject({ line: 2, outcome: "ready", theirs: ["D1", "23.04.2025 07:15", "98,5"] });
    expect(shown.rows[0]?.cells).toEqual(
      expect.arrayContaining([
        { ours: "read_at", sent: "23.04.2025 07:15", text: "2025-04-23T07:15:00", problem: null },
        { ours: "signal_pct", sent: "98,5", text: "98.5", problem: null },
      ]),
    );
    expect(shown.rows[1]).toMatchObject({ line: 3, outcome: "refused", reason: expect.stringContaining("'loose'") });
    expect(ours(shown, "signal_pct")).toMatchObject({
      filled: 9,
      refused: 1,
      example: { theirs: "98,5", ours: "98.5" },
    });
  });

  it("lists the words of a column that was only just chosen, with the usual meanings filled in", async () => {
    writeFileSync(path, "Detector,Time,What\nP1-1-05,2025-04-23 07:15,Fault\nP1-1-05,2025-04-24 07:15,Wobble\n");
    const guess = await preview({ kind: "events" });
    const read = { as: "words" as const, match: "whole" as const, words: [], otherwise: { do: "refuse" as const } };
    const condition = { parts: [{ column: "What" }], read };
    const shown = await preview({ draft: { ...guess.draft, columns: { ...guess.draft.columns, condition } } });
    expect(shown.draft.columns.condition?.read).toMatchObject({ words: [{ theirs: "Fault", ours: "fault" }] });
    expect(ours(shown, "condition")?.theirWords).toEqual([
      { word: "Fault", count: 1, known: true },
      { word: "Wobble", count: 1, known: false },
    ]);
  });

  it("offers each column with its meaning, its words and its units, needed ones first", async () => {
    writeFileSync(path, "Detector;Time;Signal %\nP1-1-05;23.04.2025 07:15;98,5\n");
    const shown = await preview();
    expect(shown.ours.map(({ column, required }) => [column, required])).toEqual([
      ["detector_id", true],
      ["read_at", true],
      ["signal_pct", true],
      ["compensation_pct", false],
      ["temperature_c", false],
      ["row", false],
    ]);
    expect(ours(shown, "signal_pct")?.units).toContain("decibel");
    expect(shown.knownIds).toContain("P1-1-05");
  });

  it("finds the sheet of a workbook that holds the table behind a cover sheet and title rows", async () => {
    const book = new ExcelJS.Workbook();
    book.addWorksheet("Cover").addRow(["Site north"]);
    const sheet = book.addWorksheet("Levels");
    const table = [
      ["Signal levels"],
      [],
      ["Detector", "Time", "Signal %"],
      ["D1", "2025-04-23 07:15", 98.5],
      ["D2", "2025-04-23 07:15", 97],
    ];
    for (const row of table) sheet.addRow(row);
    await book.xlsx.writeFile(path);
    const shown = await preview();
    expect(shown.form).toMatchObject({ form: "workbook", sheet: "Levels", sheets: ["Cover", "Levels"], headerLine: 3 });
    expect(shown.draft.table.sheet).toBe("Levels");
    expect(shown.seen).toMatchObject({ rows: 2, ready: 2 });
  });

  it("spells ids that stand in several columns as the known detectors are called", async () => {
    const rows = ["1;5;23.04.2025 07:15;98,5", "1;6;23.04.2025 07:16;97,5", "1;5;24.04.2025 07:15;96,5"];
    writeFileSync(path, `Loop;Address;Time;Signal %\n${rows.join("\n")}\n`);
    const detectors = panelDetectors["detectors.csv"].replaceAll("P1-1-", "1/");
    await importTexts(context, { "detectors.csv": detectors });
    const shown = await preview();
    expect(
      shown.rows.map(({ outcome, cells }) => [outcome, cells.find((cell) => cell.ours === "detector_id")?.text]),
    ).toEqual([
      ["ready", "1/05"],
      ["ready", "1/06"],
      ["ready", "1/05"],
    ]);
  });

  it("says that it looked at a part of a long file only", async () => {
    const rows = Array.from({ length: 20_001 }, (_, minute) => {
      return `P1-1-05,${new Date(Date.UTC(2025, 0, 1, 0, minute)).toISOString()},98`;
    });
    writeFileSync(path, `detector_id,read_at,signal_pct\n${rows.join("\n")}\n`);
    expect((await preview()).seen).toMatchObject({ rows: 20_000, whole: false, ready: 20_000 });
  });

  it("reads by a saved mapping that is asked for, and says which; another kind is guessed anew", async () => {
    writeFileSync(path, panelFile);
    await saveMapping(context, { name: "Panel", mapping: panelMapping });
    expect(await preview({ saved: "Panel" })).toMatchObject({
      saved: { name: "Panel", version: 1 },
      draft: panelMapping,
    });
    expect((await preview({ kind: "work" })).draft.kind).toBe("work");
    await expect(preview({ saved: "None" })).rejects.toMatchObject({ code: "not_found" });
  });

  it("says why a file cannot be read as it was chosen, and keeps the choice to be changed", async () => {
    writeFileSync(path, "%PDF-1.7\n");
    expect(await preview({ kind: "work" })).toMatchObject({
      form: null,
      draft: { kind: "work" },
      flaw: expect.stringContaining("PDF"),
    });
  });
});
