import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { listEvents } from "@/db/queries/events";
import { eachSeries } from "@/db/queries/readings";
import type { Context } from "@/lib/services/context";
import { importFiles } from "@/lib/services/import-files";
import { retireMapping, saveMapping } from "@/lib/services/mappings";
import { showImport } from "@/lib/services/show-import";
import { takeBackImport } from "@/lib/services/take-back-import";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, NOW, refusedIn, smallFiles, someOf } from "../../fixtures/import-folder";
import { panelDetectors, panelFile, panelMapping } from "../../fixtures/panel-file";
import { scratchFolder } from "../../fixtures/scratch-folder";

/** Imports one file as it is told to be read. */
async function importOne(context: Context, content: string | Uint8Array, choices: object = {}) {
  const path = join(scratchFolder(), "sent.csv");
  writeFileSync(path, content);
  return importFiles(context, { files: [{ name: "sent.csv", path, ...choices }] });
}

const fault = { condition: "fault", cause: "low_signal", verdict: null };
const alarm = { condition: "fire", cause: null, verdict: "unwanted" };

const withDetectors = async () => {
  const context = makeContext();
  await importTexts(context, panelDetectors);
  return context;
};

/** Time and signal of all readings. */
async function readingsOf(context: Context): Promise<[string, number][]> {
  const rows: [string, number][] = [];
  for await (const { series } of eachSeries(context.store, { until: NOW })) {
    for (const [index, at] of series.readAt.entries()) {
      rows.push([new Date(at).toISOString(), series.signalPct[index] ?? Number.NaN]);
    }
  }
  return rows;
}

describe("a panel's log, read by a mapping", () => {
  it("gives one event for the rows that begin and end it, and every row is counted once", async () => {
    const context = await withDetectors();
    const report = await importOne(context, panelFile, { mapping: panelMapping });
    expect(report.files[0]).toMatchObject({ kind: "events", rows: 6, accepted: 4, leftOut: 1, refused: 1 });
    // 23 April is in summer time, UTC+3, in Helsinki.
    const at = (text: string) => Date.parse(`2025-04-${text}:00Z`);
    expect(await listEvents(context.store, { until: NOW })).toEqual([
      { ...fault, detectorId: "P1-1-05", beganAt: at("23T07:15"), endedAt: at("23T08:20") },
      { ...alarm, detectorId: "P1-1-06", beganAt: at("25T05:00"), endedAt: at("25T05:30") },
    ]);
    const again = await importOne(context, panelFile, { mapping: panelMapping });
    expect(again.files[0]).toMatchObject({ rows: 6, accepted: 0, duplicates: 4, leftOut: 1, refused: 1 });
  });

  it("names the cell of the sender in a refusal, and counts the words no list knows", async () => {
    const context = await withDetectors();
    const report = await importOne(context, panelFile, { mapping: panelMapping });
    const shown = await showImport(context, { importId: report.id });
    expect(shown.files[0]?.rejects).toEqual([
      {
        line: 9,
        column: "phase (from Text)",
        value: "Batterie Uhr",
        reason: expect.stringContaining("a word the mapping does not know"),
      },
    ]);
    expect(shown.files[0]?.unmapped).toContainEqual({ column: "condition", word: "Batterie Uhr", count: 1 });
    expect(shown.files[0]?.unmapped.every((one) => one.column !== "row")).toBe(true);
  });

  it("waits whole for a detector that is not known yet, and is joined when it comes", async () => {
    const first = makeContext();
    const waiting = await importOne(first, panelFile, { mapping: panelMapping });
    expect(waiting.files[0]).toMatchObject({ rows: 6, waiting: 4, leftOut: 1, refused: 1 });
    await importTexts(first, panelDetectors);
    const second = await withDetectors();
    await importOne(second, panelFile, { mapping: panelMapping });
    expect(await canonicalDump(first.store)).toEqual(await canonicalDump(second.store));
    expect((await showImport(first, { importId: waiting.id })).files[0]).toMatchObject({ accepted: 4, waiting: 0 });
  });

  it("is taken back whole", async () => {
    const context = await withDetectors();
    const before = await canonicalDump(context.store);
    const report = await importOne(context, panelFile, { mapping: panelMapping });
    await takeBackImport(context, { importId: report.id });
    expect(await canonicalDump(context.store)).toEqual(before);
  });
});

describe("a saved mapping", () => {
  it("reads a file with just its columns unasked, and says so", async () => {
    const context = await withDetectors();
    await saveMapping(context, { name: "North panel", mapping: panelMapping });
    const report = await importOne(context, panelFile);
    expect(report.files[0]).toMatchObject({ accepted: 4, mapping: { name: "North panel", version: 1 } });
    expect(report.files[0]?.note).toContain("read by the mapping North panel, version 1");
  });

  it("is not guessed between two, nor when it is retired", async () => {
    const context = await withDetectors();
    await saveMapping(context, { name: "North panel", mapping: panelMapping });
    await saveMapping(context, { name: "South panel", mapping: { ...panelMapping, table: { headerLine: 3 } } });
    const two = await importOne(context, panelFile);
    expect(two.files[0]?.failure?.reason).toContain("North panel, South panel");
    await retireMapping(context, { name: "South panel" });
    expect((await importOne(context, panelFile)).files[0]).toMatchObject({ mapping: { name: "North panel" } });
    await retireMapping(context, { name: "North panel" });
    expect((await importOne(context, panelFile)).files[0]?.failure?.reason).toContain("make a mapping");
  });

  it("gets a new version when it is saved anew with other contents, and none with the same", async () => {
    const context = makeContext();
    const save = (mapping: typeof panelMapping) => saveMapping(context, { name: "North  panel ", mapping });
    expect(await save(panelMapping)).toEqual({ name: "North panel", version: 1 });
    expect(await save(panelMapping)).toEqual({ name: "North panel", version: 1 });
    expect(await save({ ...panelMapping, table: { headerLine: 3 } })).toEqual({ name: "North panel", version: 2 });
  });
});

describe("a file with our columns", () => {
  const readings = (rows: readonly string[]) => ["detector_id;read_at;signal_pct", ...rows, ""].join("\n");

  it("is read with the dates and decimals of its country when its rows show them", async () => {
    const context = makeContext();
    await importTexts(context, someOf("sites.csv", "detectors.csv"));
    const report = await importOne(context, readings(["D1;03.02.2025 10:00;99,5", "D1;23.02.2025 10:00;98,25"]));
    expect(report.files[0]).toMatchObject({ rows: 2, accepted: 2 });
    expect(report.files[0]?.note).toContain("23.02.2025");
    expect(await readingsOf(context)).toEqual([
      ["2025-02-03T08:00:00.000Z", 99.5],
      ["2025-02-23T08:00:00.000Z", 98.25],
    ]);
  });

  it("is refused as a whole while its dates can be read two ways, and read as the sender says", async () => {
    const context = makeContext();
    await importTexts(context, someOf("sites.csv", "detectors.csv"));
    const text = readings(["D1;03/02/2025 10:00;99", "D1;04/02/2025 10:00;98"]);
    const asked = await importOne(context, text);
    expect(asked.files[0]).toMatchObject({ kind: null, rows: 0 });
    expect(asked.files[0]?.failure?.reason).toContain("several ways");
    const told = await importOne(context, text, { dates: "month_first" });
    expect(told.files[0]).toMatchObject({ rows: 2, accepted: 2 });
    expect(await readingsOf(context)).toEqual([
      ["2025-03-02T08:00:00.000Z", 99],
      ["2025-04-02T07:00:00.000Z", 98],
    ]);
  });

  it("must be of the kind that is wanted", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    const report = await importOne(context, smallFiles["events.csv"], { kind: "readings" });
    expect(report.files[0]?.failure?.reason).toContain("holds events, where readings are wanted");
  });
});

describe("a sender who may write to one site", () => {
  it("is refused rows of other and of unknown detectors alike, and nothing of theirs waits", async () => {
    const context = makeContext();
    await importTexts(context, someOf("sites.csv", "detectors.csv"));
    const path = join(scratchFolder(), "sent.csv");
    const row = (id: string) => `${id},2025-03-01T00:00:00Z,99\n`;
    writeFileSync(path, `detector_id,read_at,signal_pct\n${row("D1")}${row("D3")}${row("D9")}`);
    const scope = { siteIds: new Set(["S1"]) };
    const report = await importFiles(context, { files: [{ name: "sent.csv", path }], scope });
    expect(report.files[0]).toMatchObject({ rows: 3, accepted: 1, refused: 2, waiting: 0 });
    const reasons = (await refusedIn(context, report)).map((one) => one.reason);
    expect(new Set(reasons).size).toBe(1);
  });
});
