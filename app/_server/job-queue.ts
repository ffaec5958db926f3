import { randomUUID } from "node:crypto";
import { mkdir } from "node:fs/promises";
import path from "node:path";
import { failureOf, progressOf } from "@/app/_server/command-output";
import type { ImportChoices, JobKind, JobProgress, JobState, JobView } from "@/app/_server/job-view";
import type { CommandEnd, RunCommand } from "@/app/_server/run-command";
import { freeName, MAX_FILES, receiveFile, removeStaged } from "@/app/_server/staging";
import { AppError, messageOf } from "@/lib/kernel/errors";

/** What a queue is made with: how commands run, which store they work on, and where uploads wait. */
export type JobQueueOptions = {
  readonly run: RunCommand;
  readonly storeFile: string;
  readonly stagingRoot: string;
  readonly now: () => number;
  /** The import that files of these names became, and whether it changed what is stored; null when there is none. */
  readonly findImport: (names: readonly string[]) => Promise<{ importId: number; changed: boolean } | null>;
};

type StagedFile = { readonly name: string; readonly bytes: number };

type Job = {
  readonly id: string;
  readonly kind: JobKind;
  readonly choices: ImportChoices;
  readonly createdAt: number;
  state: JobState;
  step: JobKind | null;
  progress: JobProgress | null;
  files: StagedFile[];
  /** Names of the files begun, in lower case, so that two that arrive at once do not share one. */
  names: Set<string>;
  importId: number | null;
  analysed: boolean;
  message: string | null;
  endedAt: number | null;
};

// As on the command line: nothing stored gives way, and no time is guessed.
const careful: ImportChoices = { replaces: false, fold: "refuse" };
const KEPT_JOBS = 100;
// Exit code of the command line for a call that cannot be met; 1 is a failure of ours.
const REFUSED_EXIT = 2;

/** Imports, analyses and backtests asked for by pages, one at a time and in the order they were started. */
export class JobQueue {
  readonly #jobs = new Map<string, Job>();
  readonly #waiting: Job[] = [];
  readonly #options: JobQueueOptions;
  #running: Job | null = null;

  constructor(options: JobQueueOptions) {
    this.#options = options;
  }

  /** A new job that takes files until it is started; an analysis has no use for choices. Returns its id. */
  create(kind: JobKind, choices: ImportChoices = careful): string {
    const job: Job = {
      id: randomUUID(),
      kind,
      choices,
      createdAt: this.#options.now(),
      state: "uploading",
      step: null,
      progress: null,
      files: [],
      names: new Set(),
      importId: null,
      analysed: false,
      message: null,
      endedAt: null,
    };
    this.#jobs.set(job.id, job);
    this.#forgetOldest();
    return job.id;
  }

  /** Takes one file of a job; bytes as announced or AppError invalid_input, and the job stays as it was. */
  async addFile(
    id: string,
    body: ReadableStream<Uint8Array> | null,
    { name, expectedBytes }: { name: string; expectedBytes: number },
  ): Promise<void> {
    const job = this.#uploading(id);
    if (job.names.size >= MAX_FILES) throw new AppError("invalid_input", `at most ${MAX_FILES} files at once`);
    const own = freeName(name, job.names);
    job.names.add(own.toLowerCase());
    await mkdir(this.#folderOf(job), { recursive: true });
    const bytes = await receiveFile(body, { file: path.join(this.#folderOf(job), own), expectedBytes });
    job.files.push({ name: own, bytes });
  }

  /** Forgets a job whose files are still being sent, and removes them. */
  async drop(id: string): Promise<void> {
    const job = this.#uploading(id);
    this.#jobs.delete(id);
    await removeStaged(this.#folderOf(job));
  }

  /** Closes the upload and lines the job up; at once it runs or waits. */
  start(id: string): void {
    const job = this.#uploading(id);
    if (job.kind === "import" && job.files.length === 0) {
      throw new AppError("invalid_input", "no file has arrived; choose at least one");
    }
    job.state = "waiting";
    this.#waiting.push(job);
    void this.#next();
  }

  /** How a job stands; null when there is none of this id (any more). */
  view(id: string): JobView | null {
    const job = this.#jobs.get(id);
    if (!job) return null;
    const place = this.#waiting.indexOf(job);
    return {
      id: job.id,
      kind: job.kind,
      state: job.state,
      step: job.step,
      progress: job.progress,
      files: job.files.map(({ name, bytes }) => ({ name, bytes })),
      before: place < 0 ? 0 : place + (this.#running ? 1 : 0),
      importId: job.importId,
      analysed: job.analysed,
      message: job.message,
      createdAt: job.createdAt,
      endedAt: job.endedAt,
    };
  }

  /** The job that runs, else the last one that waits; null when nothing is to be done. */
  current(): JobView | null {
    const job = this.#running ?? this.#waiting.at(-1);
    return job ? this.view(job.id) : null;
  }

  async #next(): Promise<void> {
    if (this.#running) return;
    const job = this.#waiting.shift();
    if (!job) return;
    this.#running = job;
    job.state = "running";
    let state: JobState = "done";
    try {
      await this.#work(job);
    } catch (thrown) {
      state = "failed";
      job.message = messageOf(thrown);
    }
    await removeStaged(this.#folderOf(job)).catch(() => undefined);
    job.state = state;
    job.step = null;
    job.progress = null;
    job.endedAt = this.#options.now();
    this.#running = null;
    void this.#next();
  }

  async #work(job: Job): Promise<void> {
    await mkdir(this.#folderOf(job), { recursive: true });
    if (job.kind === "import" && !(await this.#import(job))) return;
    const end = await this.#command(job, job.kind === "backtest" ? "backtest" : "analyse", []);
    if (end.exitCode === REFUSED_EXIT) {
      // Files may come one by one and be taken back: without records there is nothing to analyse, and that is no failure.
      job.message = failureOf(end.stderr);
      return;
    }
    if (end.exitCode !== 0) {
      const taken = job.kind === "import" ? "The files went in, but the analysis failed: " : "";
      throw new Error(`${taken}${failureOf(end.stderr)}`);
    }
    job.analysed = true;
  }

  /** Whether the import changed what is stored. A file that cannot be read leaves the others their way. */
  async #import(job: Job): Promise<boolean> {
    const names = job.files.map((file) => file.name);
    const end = await this.#command(job, "import", [...optionsOf(job.choices), "--", ...names]);
    const found = end.exitCode === null ? null : await this.#options.findImport(names);
    if (!found) throw new Error(failureOf(end.stderr));
    job.importId = found.importId;
    return found.changed;
  }

  #command(job: Job, step: JobKind, more: readonly string[]): Promise<CommandEnd> {
    job.step = step;
    job.progress = null;
    const options = ["--db", this.#options.storeFile, "--progress", "json"];
    return this.#options.run([step, ...options, ...more], {
      folder: this.#folderOf(job),
      onLine: (line) => {
        job.progress = progressOf(line) ?? job.progress;
      },
    });
  }

  #uploading(id: string): Job {
    const job = this.#jobs.get(id);
    if (!job) throw new AppError("not_found", "this upload is no longer known; start it anew");
    if (job.state !== "uploading") throw new AppError("conflict", "this upload was started already");
    return job;
  }

  #folderOf(job: Job): string {
    return path.join(this.#options.stagingRoot, job.id);
  }

  #forgetOldest(): void {
    for (const job of this.#jobs.values()) {
      if (this.#jobs.size <= KEPT_JOBS) return;
      if (job === this.#running || this.#waiting.includes(job)) continue;
      this.#jobs.delete(job.id);
      void removeStaged(this.#folderOf(job)).catch(() => undefined);
    }
  }
}

function optionsOf({ replaces, fold }: ImportChoices): string[] {
  return [...(replaces ? ["--replace"] : []), ...(fold === "refuse" ? [] : ["--fold", fold])];
}
