import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { openContext } from "@/lib/services/context";
import { importFiles } from "@/lib/services/import-files";
import { rawDump } from "../../fixtures/dump-store";
import { writeKillFiles } from "./kill-files";

const TEARS = 40;

describe("a store whose log was torn, as when the power fails while it is written", () => {
  it("is as before or as after the import that was in it", async () => {
    const folder = mkdtempSync(join(tmpdir(), "rafterline-torn-"));
    const { first, second } = writeKillFiles(join(folder, "files"), { detectors: 10, readingsEach: 300 });
    const store = join(folder, "store.sqlite");
    const request = (paths: readonly string[]) => ({ files: paths.map((path) => ({ name: path, path })) });
    const context = openContext(store, { now: Date.UTC(2026, 6, 1) });
    await importFiles(context, request(first));
    context.store.sqlite.pragma("wal_checkpoint(TRUNCATE)");
    const before = rawDump(store);
    await importFiles(context, request(second));
    // The second import stands in the log alone: the store is still open, so nothing has moved it into the main file.
    const [main, log] = [readFileSync(store), readFileSync(`${store}-wal`)];
    const after = rawDump(store);
    context.store.close();
    expect(log.length).toBeGreaterThan(50_000);
    const chance = seededChance("torn");
    const found = { before: 0, after: 0 };
    for (let tear = 0; tear < TEARS; tear += 1) {
      const torn = join(folder, `torn-${tear}.sqlite`);
      const damaged = Buffer.from(log);
      const at = Math.floor(chance() * log.length);
      if (tear % 2 === 1) damaged.fill(tear, at, at + 512);
      writeFileSync(torn, main);
      writeFileSync(`${torn}-wal`, tear % 2 === 0 ? damaged.subarray(0, at) : damaged);
      const state = JSON.stringify(rawDump(torn));
      if (state === JSON.stringify(after)) found.after += 1;
      else expect(JSON.parse(state)).toEqual(before);
      if (state === JSON.stringify(before)) found.before += 1;
    }
    expect(found.before + found.after).toBe(TEARS);
    expect(found.before).toBeGreaterThan(0);
    rmSync(folder, { recursive: true });
  });
});
