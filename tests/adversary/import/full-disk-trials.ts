import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { rawDump } from "../../fixtures/dump-store";
import { type KillFiles, writeKillFiles } from "./kill-files";
import { copyStore, runCommand, translatedCommand } from "./kill-run";
import { runOnSmallDisk, smallDisk } from "./small-disk";

/** An import and a take-back on disks of all sizes, from one with no room at all to one with enough. */
export class FullDiskTrials {
  readonly kind = smallDisk();
  readonly tally = { full: 0, done: 0 };
  private readonly command = translatedCommand();
  private readonly folder = mkdtempSync(join(tmpdir(), "rafterline-full-"));
  private readonly base = join(this.folder, "base.sqlite");
  private readonly files: KillFiles;
  private readonly ends = new Map<string, { after: Readonly<Record<string, string>>; sizeKb: number }>();

  constructor(size: { detectors: number; readingsEach: number }) {
    this.files = writeKillFiles(join(this.folder, "files"), size);
  }

  /** Makes the store that every trial begins with. */
  async prepare(): Promise<void> {
    const made = await runCommand(["import", ...this.files.first], { script: this.command.script, store: this.base });
    if (made.exitCode !== 3) throw new Error(`the first import failed: ${made.stderr}`);
  }

  /**
   * Runs a command with `share` of the room it needs beyond the store; it must change all or nothing, say on a full disk
   * what to do, and end as ever once there is room. Throws when not.
   */
  async tryWith(which: "import" | "take-back", share: number): Promise<void> {
    const args = which === "import" ? ["import", ...this.files.second] : ["take-back", "1"];
    const { script } = this.command;
    const base = rawDump(this.base);
    const out = join(this.folder, "out");
    const { after, sizeKb } = this.ends.get(which) ?? (await this.undisturbed(which, args));
    const size = statSync(this.base).size / 1024;
    // The log of a write holds every page it touches, and so may be as large as the store it leaves.
    const needed = size + 2 * sizeKb + 200;
    const kilobytes = Math.ceil(size + 8 + share * (needed - size));
    const end = runOnSmallDisk(args, { kind: this.kind, script, base: this.base, out, kilobytes });
    const store = join(out, "store.sqlite");
    const found = rawDump(store);
    const say = `${which} with ${share} of the room, ${kilobytes} kB, exit ${end.exitCode}: ${end.stderr}`;
    if (JSON.stringify(found) === JSON.stringify(after)) {
      if (end.exitCode !== 0 && end.exitCode !== 3) throw new Error(`done and yet a failure: ${say}`);
      this.tally.done += 1;
      return;
    }
    if (JSON.stringify(found) !== JSON.stringify(base)) throw new Error(`half done: ${say}`);
    if (end.exitCode !== 2 || !/disk is full/.test(end.stderr) || /\n\s+at /.test(end.stderr)) {
      throw new Error(`a full disk is not told as one: ${say}`);
    }
    this.tally.full += 1;
    await runCommand(args, { script, store });
    if (JSON.stringify(rawDump(store)) !== JSON.stringify(after)) throw new Error(`ends otherwise with room: ${say}`);
  }

  private async undisturbed(which: string, args: readonly string[]) {
    const store = join(this.folder, `${which}.sqlite`);
    copyStore(this.base, store);
    const done = await runCommand(args, { script: this.command.script, store });
    if (done.exitCode !== 3 && done.exitCode !== 0) throw new Error(`${which} failed undisturbed: ${done.stderr}`);
    const end = { after: rawDump(store), sizeKb: statSync(store).size / 1024 };
    this.ends.set(which, end);
    return end;
  }

  /** Removes all files. */
  end(): void {
    this.command.remove();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
