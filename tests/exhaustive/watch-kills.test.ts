import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openStore } from "@/db/client";
import { seededChance } from "@/lib/kernel/chance";
import { type KillFiles, writeKillFiles } from "../adversary/import/kill-files";
import { copyStore, pause, runCommand, startCommand, translatedCommand } from "../adversary/import/kill-run";
import { canonicalDump } from "../fixtures/canonical-dump";
import { rawDump } from "../fixtures/dump-store";

const KILLS = Number(process.env.RAFTERLINE_WATCH_KILLS ?? 30);

describe("a watch over a folder that is killed", () => {
  const command = translatedCommand();
  const folder = mkdtempSync(join(tmpdir(), "rafterline-watch-kill-"));
  const [base, store, drop] = [join(folder, "base.sqlite"), join(folder, "store.sqlite"), join(folder, "drop")];
  const on = (file: string) => ({ script: command.script, store: file });
  const watch = ["watch", drop, "--once", "--settled", "0"];
  let files: KillFiles;
  let totalMs = 0;
  let expected: unknown;

  const begin = () => {
    copyStore(base, store);
    rmSync(drop, { recursive: true, force: true });
    mkdirSync(drop);
    for (const path of files.second) copyFileSync(path, join(drop, basename(path)));
  };
  const dumpOf = async () => {
    const opened = openStore(store);
    const dump = await canonicalDump(opened);
    opened.close();
    return dump;
  };

  beforeAll(async () => {
    files = writeKillFiles(join(folder, "files"), { detectors: 40, readingsEach: 1_500 });
    await runCommand(["import", ...files.first], on(base));
    begin();
    totalMs = (await runCommand(watch, on(store))).ms;
    expected = await dumpOf();
  });
  afterAll(() => {
    command.remove();
    rmSync(folder, { recursive: true, force: true });
  });

  it("ends, started again, with the same records, and each file in its place once", async () => {
    const chance = seededChance("watch");
    let hits = 0;
    for (let kill = 0; kill < KILLS; kill += 1) {
      begin();
      const running = startCommand(watch, on(store));
      await pause(totalMs * (0.2 + 0.8 * chance()));
      running.child.kill("SIGKILL");
      if ((await running.ended).exitCode === null) hits += 1;
      rawDump(store);
      const { stderr } = await runCommand(watch, on(store));
      expect(await dumpOf(), stderr).toEqual(expected);
      expect(readdirSync(drop).filter((name) => name.endsWith(".csv"))).toEqual([]);
      for (const path of files.second) {
        const places = ["done", "failed"].filter((end) => existsSync(join(drop, end, basename(path))));
        expect(places).toHaveLength(1);
      }
    }
    process.stdout.write(`kills of a watch: ${KILLS}, of which ${hits} hit it running\n`);
    expect(hits).toBeGreaterThan(KILLS / 3);
  });
});
