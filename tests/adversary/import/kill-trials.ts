import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { seededChance } from "@/lib/kernel/chance";
import { rawDump } from "../../fixtures/dump-store";
import { type KillFiles, writeKillFiles } from "./kill-files";
import { copyStore, pause, runCommand, startCommand, translatedCommand } from "./kill-run";

/** What is killed. */
export const killedCommands = ["import", "import that replaces", "take-back"] as const;
/** One of {@link killedCommands}. */
export type KilledCommand = (typeof killedCommands)[number];

/** What became of kills: how many hit the running command, and what the store held after those. */
export type KillTally = { kills: number; hits: number; before: number; after: number; reruns: number };

type Trial = {
  readonly args: readonly string[];
  readonly before: Readonly<Record<string, string>>;
  readonly after: Readonly<Record<string, string>>;
  /** Time from the first sign of work to the end. */
  readonly workMs: number;
  /** Time until the work begins, for a command that shows no progress; null for one that does. */
  readonly startMs: number | null;
};

/** A fleet, a store that holds its first import, and commands on it that are killed at random moments. */
export class KillTrials {
  readonly tally: KillTally = { kills: 0, hits: 0, before: 0, after: 0, reruns: 0 };
  private readonly folder = mkdtempSync(join(tmpdir(), "rafterline-kill-"));
  private readonly base = join(this.folder, "base.sqlite");
  private readonly store = join(this.folder, "store.sqlite");
  private readonly trials = new Map<KilledCommand, Trial>();
  private readonly files: KillFiles;
  private readonly command = translatedCommand();

  constructor(size: { detectors: number; readingsEach: number }) {
    this.files = writeKillFiles(join(this.folder, "files"), size);
  }

  /** Makes the store that every trial begins with, and lets each command end once undisturbed. */
  async prepare(commands: readonly KilledCommand[]): Promise<void> {
    const made = await runCommand(["import", ...this.files.first], { script: this.command.script, store: this.base });
    if (made.exitCode !== 3) throw new Error(`the first import should leave rows waiting: ${made.stderr}`);
    for (const command of commands) this.trials.set(command, await this.undisturbed(command));
  }

  /**
   * Kills a command at a moment drawn from `seed`; the store must be as before or as after, down to ids and bytes, and
   * the command run again must end as if it had never been killed. Throws when not.
   */
  async killOnce(command: KilledCommand, seed: number): Promise<void> {
    const trial = this.trials.get(command);
    if (!trial) throw new RangeError(`not prepared: ${command}`);
    copyStore(this.base, this.store);
    const chance = seededChance(`${command} ${seed}`);
    const running = startCommand(trial.args, this.onStore);
    if (trial.startMs === null) await running.progressed;
    // Past the measured end too: the commit and the tidying of the log lie there.
    await pause((trial.startMs ?? 0) + chance() * trial.workMs * 1.15);
    running.child.kill("SIGKILL");
    const { exitCode } = await running.ended;
    this.tally.kills += 1;
    if (exitCode === null) this.tally.hits += 1;
    const found = rawDump(this.store);
    const state = this.stateOf(found, trial);
    if (state === null) throw new Error(`${command}, seed ${seed}: half done: ${differing(found, trial)}`);
    if (exitCode === null) this.tally[state] += 1;
    if (state === "after") return;
    await runCommand(trial.args, this.onStore);
    this.tally.reruns += 1;
    const again = rawDump(this.store);
    if (this.stateOf(again, trial) !== "after") {
      throw new Error(`${command}, seed ${seed}: run again it ends otherwise: ${differing(again, trial)}`);
    }
  }

  /** Removes all files. */
  end(): void {
    this.command.remove();
    rmSync(this.folder, { recursive: true, force: true });
  }

  private get onStore() {
    return { script: this.command.script, store: this.store };
  }

  private async undisturbed(command: KilledCommand): Promise<Trial> {
    copyStore(this.base, this.store);
    const importing = ["import", ...this.files.second, "--progress", "json"];
    const args = {
      import: importing,
      "import that replaces": [...importing, "--replace"],
      "take-back": ["take-back", "1"],
    }[command];
    const before = rawDump(this.store);
    const startMs = command === "take-back" ? (await runCommand(["take-back", "999"], this.onStore)).ms * 0.8 : null;
    const startedAt = performance.now();
    const running = startCommand(args, this.onStore);
    await running.progressed;
    const workedFrom = startMs === null ? performance.now() : startedAt + startMs;
    const { exitCode, stderr } = await running.ended;
    if (exitCode !== 3 && exitCode !== 0) throw new Error(`${command} failed undisturbed: ${stderr}`);
    const workMs = performance.now() - workedFrom;
    return { args, before, after: rawDump(this.store), workMs, startMs };
  }

  private stateOf(found: Readonly<Record<string, string>>, { before, after }: Trial): "before" | "after" | null {
    if (same(found, after)) return "after";
    return same(found, before) ? "before" : null;
  }
}

function same(one: Readonly<Record<string, string>>, other: Readonly<Record<string, string>>): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

function differing(found: Readonly<Record<string, string>>, { before, after }: Trial): string {
  return Object.keys(found)
    .filter((table) => found[table] !== before[table] || found[table] !== after[table])
    .map((table) => `${table}: ${found[table]}, before ${before[table]}, after ${after[table]}`)
    .join("\n");
}
