import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { Context } from "@/lib/services/context";
import { takeBackImport } from "@/lib/services/take-back-import";
import { takeInFolder, type Unsettled, type WatchedFile } from "@/lib/services/watch-folder";
import { makeContext, smallFiles } from "../../fixtures/import-folder";
import { scratchFolder } from "../../fixtures/scratch-folder";

const LOOKED_AT = Date.UTC(2026, 6, 1);

function drop(folder: string, files: Readonly<Record<string, string>>, changedAt = LOOKED_AT - 60_000): void {
  for (const [name, text] of Object.entries(files)) {
    writeFileSync(join(folder, name), text);
    utimesSync(join(folder, name), changedAt / 1000, changedAt / 1000);
  }
}

async function look(
  context: Context,
  folder: string,
  { unsettled = new Map(), at = LOOKED_AT }: { unsettled?: Unsettled; at?: number } = {},
): Promise<WatchedFile[]> {
  const taken: WatchedFile[] = [];
  for await (const one of takeInFolder(context, { folder, settledMs: 5_000 }, { unsettled, now: () => at }))
    taken.push(one);
  return taken;
}

describe("a watched folder", () => {
  it("moves files that are in to done, and those that cannot be read to failed, each with its report", async () => {
    const [context, folder] = [makeContext(), scratchFolder()];
    drop(folder, { ...smallFiles, "notes.pdf": "%PDF-1.7 no table" });
    const taken = await look(context, folder);
    expect(taken.map(({ name, state }) => [name, state])).toEqual([
      ["detectors.csv", "partly"],
      ["events.csv", "partly"],
      ["notes.pdf", "failed"],
      ["readings.csv", "partly"],
      ["sites.csv", "done"],
      ["work.csv", "done"],
    ]);
    expect(readdirSync(folder).sort()).toEqual(["done", "failed"]);
    expect(readdirSync(join(folder, "failed"))).toEqual(["notes.pdf", "notes.pdf.report.json"]);
    const report = JSON.parse(readFileSync(join(folder, "done", "readings.csv.report.json"), "utf8"));
    expect(report).toMatchObject({ state: "partly", files: [{ name: "readings.csv", rows: 6, waiting: 6 }] });
    expect(readFileSync(join(folder, "done", "readings.csv.not-in.csv"), "utf8")).toContain("D1,2025-01-01T00:00:00Z");
  });

  it("leaves a file alone that is still written, hidden or marked as a part", async () => {
    const [context, folder] = [makeContext(), scratchFolder()];
    const unsettled: Unsettled = new Map();
    drop(folder, { ".hidden.csv": "x", "sites.csv.part": "x" });
    drop(folder, { "sites.csv": smallFiles["sites.csv"] }, LOOKED_AT - 1_000);
    expect(await look(context, folder, { unsettled })).toEqual([]);
    drop(folder, { "sites.csv": `${smallFiles["sites.csv"]}S3,Mill,60,24,Europe/Helsinki\n` }, LOOKED_AT + 4_000);
    expect(await look(context, folder, { unsettled, at: LOOKED_AT + 6_000 })).toEqual([]);
    const taken = await look(context, folder, { unsettled, at: LOOKED_AT + 12_000 });
    expect(taken).toMatchObject([{ name: "sites.csv", state: "done" }]);
    expect(existsSync(join(folder, "sites.csv.part"))).toBe(true);
  });

  it("moves a file without importing it again when the process died after the import and before the move", async () => {
    const [context, folder] = [makeContext(), scratchFolder()];
    drop(folder, { "sites.csv": smallFiles["sites.csv"] });
    // A file where the folder should be stops the move, as a kill would.
    writeFileSync(join(folder, "done"), "");
    await expect(look(context, folder)).rejects.toThrow("is imported, but cannot be moved");
    rmSync(join(folder, "done"));
    expect(await look(context, folder)).toMatchObject([{ name: "sites.csv", state: "done", importId: 1 }]);
    const report = JSON.parse(readFileSync(join(folder, "done", "sites.csv.report.json"), "utf8"));
    expect(report).toMatchObject({ import: 1, files: [{ accepted: 2, duplicates: 0 }] });
    drop(folder, { "sites.csv": smallFiles["sites.csv"] });
    expect(await look(context, folder)).toMatchObject([
      { importId: 2, movedTo: join(folder, "done", "sites (2).csv") },
    ]);
  });

  it("imports a file anew that was changed after its import, or whose import was taken back", async () => {
    const [context, folder] = [makeContext(), scratchFolder()];
    const block = async (text: string, changedAt: number) => {
      drop(folder, { "sites.csv": text }, changedAt);
      writeFileSync(join(folder, "done"), "");
      await expect(look(context, folder)).rejects.toThrow("cannot be moved");
      rmSync(join(folder, "done"));
    };
    await block(smallFiles["sites.csv"], LOOKED_AT - 60_000);
    await takeBackImport(context, { importId: 1 });
    await block(smallFiles["sites.csv"], LOOKED_AT - 60_000);
    drop(folder, { "sites.csv": smallFiles["sites.csv"] }, LOOKED_AT - 30_000);
    expect(await look(context, folder)).toMatchObject([{ importId: 3 }]);
  });

  it("that is not there is named", async () => {
    const folder = join(scratchFolder(), "gone");
    await expect(look(makeContext(), folder)).rejects.toThrow(`the folder ${folder} cannot be read`);
    mkdirSync(folder);
    expect(await look(makeContext(), folder)).toEqual([]);
  });
});
