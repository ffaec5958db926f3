import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openContext } from "@/lib/services/context";
import { rawDump } from "../../fixtures/dump-store";
import { type KillFiles, writeKillFiles } from "./kill-files";
import { type CommandEnd, copyStore, pause, runCommand, startCommand, translatedCommand } from "./kill-run";

const command = translatedCommand();
const folder = mkdtempSync(join(tmpdir(), "rafterline-at-once-"));
const base = join(folder, "base.sqlite");
const store = join(folder, "store.sqlite");
const other = join(folder, "other.sqlite");
let files: KillFiles;
const on = (file: string) => ({ script: command.script, store: file });
const second = () => ["import", ...files.second, "--progress", "json"];

beforeAll(async () => {
  files = writeKillFiles(join(folder, "files"), { detectors: 20, readingsEach: 500 });
  await runCommand(["import", ...files.first], on(base));
}, 300_000);
beforeEach(() => copyStore(base, store));
afterAll(() => {
  command.remove();
  rmSync(folder, { recursive: true, force: true });
});

/** What one store holds after commands that ran one after the other. */
async function oneByOne(...commands: readonly (readonly string[])[]) {
  copyStore(base, other);
  for (const args of commands) await runCommand(args, on(other));
  return rawDump(other);
}

async function both(...commands: readonly (readonly string[])[]): Promise<CommandEnd[]> {
  const running = [];
  for (const args of commands) {
    const one = startCommand(args, on(store));
    await one.progressed;
    running.push(one.ended);
  }
  return Promise.all(running);
}

describe("two commands on one store", () => {
  it("that import the same files: one is stored, the other finds every row there", async () => {
    const ends = await both(second(), second());
    expect(ends.map((end) => end.exitCode)).toEqual([3, 3]);
    expect(rawDump(store)).toEqual(await oneByOne(second(), second()));
  }, 300_000);

  it("of which one takes an import back and one imports: the result is that of one order or the other", async () => {
    const ends = await both(second(), ["take-back", "1"]);
    expect(ends.map((end) => end.exitCode)).toEqual([3, 0]);
    expect([await oneByOne(second(), ["take-back", "1"]), await oneByOne(["take-back", "1"], second())]).toContainEqual(
      rawDump(store),
    );
  }, 300_000);

  it("on a store that neither has made yet: both end well and hold each row once", async () => {
    for (const end of ["", "-wal", "-shm"]) rmSync(`${store}${end}`, { force: true });
    const first = ["import", ...files.first];
    const ends = await Promise.all([runCommand(first, on(store)), runCommand(first, on(store))]);
    expect(ends.map((end) => end.exitCode)).toEqual([3, 3]);
    rmSync(other, { force: true });
    for (const args of [first, first]) await runCommand(args, on(other));
    expect(rawDump(store)).toEqual(rawDump(other));
  }, 300_000);

  it("of which one analyses: it ends, and the store holds the import whole", async () => {
    const [imported, analysed] = await both(second(), ["analyse"]);
    expect([imported?.exitCode, analysed?.exitCode]).toEqual([3, 0]);
    const expected = await oneByOne(second());
    const found = rawDump(store);
    for (const table of ["reading_chunks", "reading_claims", "row_claims", "events", "work", "import_files"]) {
      expect(found[table]).toBe(expected[table]);
    }
  }, 240_000);

  it("waits for a writer longer than five seconds, says so, and can be interrupted meanwhile", async () => {
    const context = openContext(store, { now: 0 });
    context.store.sqlite.exec("BEGIN IMMEDIATE");
    const waiting = startCommand(second(), on(store));
    const interrupted = startCommand(second(), on(store));
    await pause(6_500);
    interrupted.child.kill("SIGINT");
    const gaveUp = await interrupted.ended;
    expect(gaveUp.stderr).toContain("another command is writing to this store");
    expect(gaveUp.exitCode).not.toBe(3);
    context.store.sqlite.exec("ROLLBACK");
    context.store.close();
    const end = await waiting.ended;
    expect(end.exitCode).toBe(3);
    expect(rawDump(store)).toEqual(await oneByOne(second()));
  }, 300_000);
});
