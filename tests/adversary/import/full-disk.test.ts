import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { FullDiskTrials } from "./full-disk-trials";

const root = fileURLToPath(new URL("../../..", import.meta.url));

describe("an upload to a full disk", () => {
  it("is told with what to do, and leaves nothing behind", async () => {
    const folder = mkdtempSync(join(tmpdir(), "rafterline-upload-"));
    // A limit on file sizes, since a whole disk cannot be had everywhere; the same failure of the same call.
    const program = `
      import { receiveFile } from "@/app/_server/staging";
      const body = new Blob([new Uint8Array(200_000)]).stream();
      receiveFile(body, { file: ${JSON.stringify(join(folder, "big.csv"))}, expectedBytes: 200_000 })
        .then(() => console.log("kept"), (thrown) => console.log(thrown.name, thrown.message));`;
    const shell = `ulimit -f 100; exec "$0" --import tsx --input-type=module -e "$1"`;
    const { stdout } = spawnSync("sh", ["-c", shell, process.execPath, program], { cwd: root, encoding: "utf8" });
    expect(stdout).toMatch(/^AppError the disk is full \(after \d+ of 200000 bytes\): free space on it, then send/);
    expect(readdirSync(folder)).toEqual([]);
    rmSync(folder, { recursive: true });
  });
});

describe("a full disk", () => {
  const trials = new FullDiskTrials({ detectors: 30, readingsEach: 600 });
  beforeAll(() => trials.prepare(), 120_000);
  afterAll(() => trials.end());

  it("changes nothing, is told with what to do, and harms nothing once there is room", async () => {
    for (const share of [0, 0.15, 1]) await trials.tryWith("import", share);
    await trials.tryWith("take-back", 0);
    expect(trials.tally.full).toBeGreaterThan(1);
    expect(trials.tally.done).toBeGreaterThan(0);
  }, 300_000);
});
