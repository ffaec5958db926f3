import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { referenceLines } from "./reference-lines";

const stats = join(import.meta.dirname, "../reference/stats");
let folder = "";

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "rafterline-bench-"));
  copyFileSync(join(stats, "cusum.json"), join(folder, "b_cusum.json"));
  copyFileSync(join(stats, "one_sample_logrank.json"), join(folder, "one_sample_logrank_again.json"));
  writeFileSync(join(folder, "a_broken.json"), "{");
  writeFileSync(join(folder, "c_unheard_of.json"), '{"title":"none"}');
});

afterAll(() => rmSync(folder, { recursive: true }));

describe("a folder of reference files", () => {
  it("gives one line a file in the order of names, other names of a known kind included, and says what it cannot work", () => {
    const lines = [...referenceLines(folder)];
    expect(lines.map(({ file }) => file)).toEqual([
      "a_broken.json",
      "b_cusum.json",
      "c_unheard_of.json",
      "one_sample_logrank_again.json",
    ]);
    expect(lines.map((line) => "error" in line)).toEqual([true, false, true, false]);
    expect(lines[1]).toEqual({ file: "b_cusum.json", cases: 2, within: 2, worst: expect.any(Number) });
  });
});
