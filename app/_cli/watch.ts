import { closeSync, openSync, readFileSync, rmSync, writeSync } from "node:fs";
import { join, resolve } from "node:path";
import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { readChoicesOf, withReadOptions } from "@/app/_cli/read-options";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import type { WatchedFile } from "@/lib/services/watch-folder";

const options = z.object({
  every: z.coerce.number().min(0.1, "--every needs at least 0.1 seconds").max(86_400),
  settled: z.coerce.number().min(0, "--settled needs 0 seconds or more").max(86_400),
  once: z.boolean().default(false),
  replace: z.boolean().default(false),
  fold: z.enum(["first", "second"]).optional(),
  format: z.enum(["text", "json"]),
});

/** `watch DIR`: takes in each file that is dropped into a folder, and moves it to done or failed with its report. */
export function addWatch({ program, withContext }: Program): Command {
  const command = program
    .command("watch")
    .description("take in the files dropped into a folder; each moves to done or failed in it, with its report")
    .argument("<folder>", "the folder")
    .option("--every <seconds>", "how often to look", "10")
    .option("--settled <seconds>", "how long a file must stand unchanged before it is taken", "5")
    .option("--once", "look once and end, as a scheduled task does")
    .option("--replace", "let rows that differ from stored ones of the same key take their place")
    .addOption(
      new Option("--fold <which>", "what a wall time means that the clock showed twice").choices(["first", "second"]),
    )
    .addOption(new Option("--format <format>", "one line a file").choices(["text", "json"]).default("text"));
  return withReadOptions(command).action((folder: string, given: unknown) =>
    withContext(async (context) => {
      const parsed = options.safeParse(given);
      if (!parsed.success) throw new AppError("invalid_input", parsed.error.issues[0]?.message ?? "wrong option");
      const free = lockOf(resolve(folder));
      try {
        return await watch(context, { folder: resolve(folder), given, ...parsed.data });
      } finally {
        free();
      }
    }),
  );
}

type Watching = z.infer<typeof options> & { readonly folder: string; readonly given: unknown };

async function watch(context: Context, { folder, given, every, settled, once, replace, fold, format }: Watching) {
  const { takeInFolder } = await import("@/lib/services/watch-folder");
  const unsettled = new Map();
  const stop = stopper();
  let complete = true;
  while (!stop.asked()) {
    try {
      // Looked up anew each time, so that a mapping saved since counts.
      const choices = {
        ...(await readChoicesOf(context, given)),
        folder,
        settledMs: settled * 1000,
        replaces: replace,
      };
      const asked = fold === undefined ? choices : { ...choices, fold };
      for await (const file of takeInFolder(context, asked, { unsettled, now: Date.now })) {
        await print(format === "json" ? `${JSON.stringify(file)}\n` : lineOf(file));
        complete &&= file.state === "done";
        if (stop.asked()) break;
      }
    } catch (thrown) {
      // Another process writing is a matter of time: the file stays where it is for the next look.
      if (once || !(thrown instanceof AppError) || thrown.code !== "conflict") throw thrown;
      process.stderr.write(`${thrown.message}; trying again in ${every} s\n`);
    }
    if (once) break;
    await stop.wait(every * 1000);
  }
  return complete ? exitCodes.done : exitCodes.incomplete;
}

function lineOf({ name, state, movedTo, importId, reason }: WatchedFile): string {
  const said = { done: "taken in", partly: "taken in, but not every row", failed: "not taken in" }[state];
  const which = importId === null ? "" : ` (import ${importId})`;
  return `${new Date().toISOString()} ${name}: ${said}${which}; now ${movedTo}${reason === null ? "" : `; ${reason}`}\n`;
}

/** Ends the watch after the file at hand when the process is asked to stop. */
function stopper() {
  let asked = false;
  let wake = () => {};
  for (const signal of ["SIGINT", "SIGTERM"] as const) {
    process.once(signal, () => {
      asked = true;
      wake();
    });
  }
  return {
    asked: () => asked,
    wait: (ms: number) =>
      new Promise<void>((done) => {
        const timer = setTimeout(done, ms);
        wake = () => {
          clearTimeout(timer);
          done();
        };
      }),
  };
}

/** Keeps a second watch off the same folder; a lock whose process is gone does not count. */
function lockOf(folder: string): () => void {
  const file = join(folder, ".rafterline-watch");
  for (let attempt = 0; attempt < 2; attempt += 1) {
    try {
      const handle = openSync(file, "wx");
      writeSync(handle, String(process.pid));
      closeSync(handle);
      return () => rmSync(file, { force: true });
    } catch (thrown) {
      const code = thrown instanceof Error && "code" in thrown ? thrown.code : null;
      if (code !== "EEXIST")
        throw new AppError("invalid_input", `the folder ${folder} cannot be watched: ${String(code)}`);
      const owner = Number(readFileSync(file, "utf8"));
      if (isAlive(owner)) throw new AppError("conflict", `process ${owner} watches ${folder} already; stop it first`);
      rmSync(file, { force: true });
    }
  }
  throw new AppError("conflict", `another process began to watch ${folder} at the same time`);
}

function isAlive(pid: number): boolean {
  if (!Number.isInteger(pid) || pid <= 0 || pid === process.pid) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (thrown) {
    return thrown instanceof Error && "code" in thrown && thrown.code === "EPERM";
  }
}
