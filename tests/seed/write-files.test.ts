import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { columnsOf, fileKinds } from "@/lib/records/files";
import { periodOf } from "@/seed/period";
import { writePortfolio } from "@/seed/write-files";

const folders: string[] = [];

function writeSmall() {
  const folder = mkdtempSync(join(tmpdir(), "rafterline-seed-"));
  folders.push(folder);
  return writePortfolio(folder, { sites: 4, detectors: 30, seed: "files", period: periodOf(120) });
}

afterAll(() => {
  for (const folder of folders) rmSync(folder, { recursive: true });
});

test("writes the five canonical files with their columns, in the order of import, and as many rows as it says", () => {
  const { files } = writeSmall();
  expect(files.map(({ name }) => name)).toEqual(fileKinds.map((kind) => `${kind}.csv`));
  for (const [index, kind] of fileKinds.entries()) {
    const lines = readFileSync(files[index]?.path ?? "", "utf8")
      .trimEnd()
      .split("\n");
    expect(lines[0]).toBe(columnsOf(kind).join(","));
    expect(lines.length - 1).toBe(files[index]?.rows);
  }
  expect(files.map(({ rows }) => rows).slice(0, 2)).toEqual([4, 30]);
});

test("is the same to the byte when it is run again", () => {
  const texts = [writeSmall(), writeSmall()].map(({ files, truthPath }) =>
    [...files.map(({ path }) => path), truthPath].map((path) => readFileSync(path, "utf8")),
  );
  expect(texts[0]).toEqual(texts[1]);
});

test("the truth list stands beside the files and counts the planted detectors of each cause", () => {
  const { truthPath, planted } = writeSmall();
  const rows = readFileSync(truthPath, "utf8").trimEnd().split("\n").slice(1);
  expect(rows.length).toBe([...planted.values()].reduce((sum, count) => sum + count, 0));
});
