import { randomUUID } from "node:crypto";
import { mkdir, writeFile } from "node:fs/promises";
import path from "node:path";
import { failureOf, progressOf } from "@/app/_server/command-output";
import type { ImportChoices, JobKind, JobProgress, JobState, JobView } from "@/app/_server/job-view";
import type { CommandEnd, RunCommand } from "@/app/_server/run-command";
import { type DescribeFile, StagedFiles } from "@/app/_server/staged-files";
import { AppError, messageOf } from "@/lib/kernel/errors";
import type { PlannedFile } from "@/lib/services/staged-reading";

/** What a queue is made with: how commands run, which store they work on, and where uploads wait. */
export type JobQueueOptions = {
  readonly run: RunCommand;
  readonly storeFile: string;
  readonly stagingRoot: string;
  readonly now: () => number;
  /** The import that files of these names became, and whether it changed what is stored; null when there is none. */
  readonly findImport: (names: readonly string[]) => Promise<{ importId: number; changed: boolean } | null>;
  readonly describe: DescribeFile;
};

/** What an import is started with: its files in order, each with how it is read, and what holds for all of them. */
export type ImportOrder = { readonly choices: ImportChoices; readonly files: readonly PlannedFile[] };

type Job = {
  readonly id: string;
  readonly kind: JobKind;
  readonly staged: StagedFiles;
  readonly createdAt: number;
  state: JobState;
  step: JobKind | null;
  progress: JobProgress | null;
  order: ImportOrder | null;
  importId: number | null;
  analysed: boolean;
  message: string | null;
  endedAt: number | null;
};

const KEPT_JOBS = 100;
// Exit code of the command line for a call that cannot be met; 1 is a failure of ours.
const REFUSED_EXIT = 2;
// No uploaded file can bear this name: a dot at the beginning is taken off.
const PLAN_FILE = ".plan.json";

/** Imports, analyses and backtests asked for by pages, one at a time and in the order they were started. */
export class JobQueue {
  readonly #jobs = new Map<string, Job>();
  readonly #waiting: Job[] = [];
  readonly #options: JobQueueOptions;
  #running: Job | null = null;

  constructor(options: JobQueueOptions) {
    this.#options = options;
  }

  /** A new job that takes files until it is started. Returns its id. */
  create(kind: JobKind): string {
    const id = randomUUID();
    const job: Job = {
      id,
      kind,
      staged: new StagedFiles(path.join(this.#options.stagingRoot, id), this.#options.describe),
      createdAt: this.#options.now(),
      state: "uploading",
      step: null,
      progress: null,
      order: null,
      importId: null,
      analysed: false,
      message: null,
      endedAt: null,
    };
    this.#jobs.set(job.id, job);
    this.#forgetOldest();
    return job.id;
  }

  /** The files of a job that takes files still; throws AppError not_found or, once it was started, conflict. */
  files(id: string): StagedFiles {
    return this.#uploading(id).staged;
  }

  /** Forgets a job whose files are still being sent, and removes them. */
  async drop(id: string): Promise<void> {
    const job = this.#uploading(id);
    this.#jobs.delete(id);
    await job.staged.clear();
  }

  /** Closes the upload and lines the job up; at once it runs or waits. An import needs an order with a file in it. */
  start(id: string, order: ImportOrder | null = null): void {
    const job = this.#uploading(id);
    if (job.kind === "import" && (order?.files.length ?? 0) === 0) {
      throw new AppError("invalid_input", "no file has arrived; choose at least one");
    }
    job.order = order;
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
      files: job.staged.list().map(({ position, name, bytes }) => ({ position, name, bytes })),
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
    await job.staged.clear().catch(() => undefined);
    job.state = state;
    job.step = null;
    job.progress = null;
    job.endedAt = this.#options.now();
    this.#running = null;
    void this.#next();
  }

  async #work(job: Job): Promise<void> {
    await mkdir(job.staged.folder, { recursive: true });
    if (job.order && !(await this.#import(job, job.order))) return;
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
  async #import(job: Job, { choices, files }: ImportOrder): Promise<boolean> {
    const names = files.map((file) => file.name);
    await writeFile(path.join(job.staged.folder, PLAN_FILE), JSON.stringify(files));
    const end = await this.#command(job, "import", [...optionsOf(choices), "--plan", PLAN_FILE, "--", ...names]);
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
      folder: job.staged.folder,
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

  #forgetOldest(): void {
    for (const job of this.#jobs.values()) {
      if (this.#jobs.size <= KEPT_JOBS) return;
      if (job === this.#running || this.#waiting.includes(job)) continue;
      this.#jobs.delete(job.id);
      void job.staged.clear().catch(() => undefined);
    }
  }
}

function optionsOf({ replaces, fold }: ImportChoices): string[] {
  return [...(replaces ? ["--replace"] : []), ...(fold === "refuse" ? [] : ["--fold", fold])];
}
