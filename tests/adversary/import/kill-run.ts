import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../..", import.meta.url));

/** How a command ended: its exit code, null when a signal ended it; what it wrote on stderr; how long it ran. */
export type CommandEnd = { readonly exitCode: number | null; readonly stderr: string; readonly ms: number };

/** A command of the product that runs; `progressed` is fulfilled with its first line of progress, or when it ends. */
export type RunningCommand = {
  readonly child: ChildProcess;
  readonly progressed: Promise<void>;
  readonly ended: Promise<CommandEnd>;
};

/**
 * Translates the command line once and gives the script to start: what tsx does at each start of the command, which takes
 * four times as long as all the rest of it. The script stands below the root, from where it finds its packages.
 */
export function translatedCommand(): { script: string; remove: () => void } {
  mkdirSync(join(root, ".cache"), { recursive: true });
  const folder = mkdtempSync(join(root, ".cache", "command-"));
  const esbuild = join(root, "node_modules/.bin/esbuild");
  const options = ["--bundle", "--splitting", "--platform=node", "--packages=external", "--format=esm"];
  execFileSync(
    esbuild,
    ["app/_cli/main.ts", ...options, `--outdir=${folder}`, "--out-extension:.js=.mjs", "--log-level=error"],
    { cwd: root },
  );
  return { script: join(folder, "main.mjs"), remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/** Starts the command line on a store, as a user's shell does; `prefix` sets limits before it, such as of file size. */
export function startCommand(
  args: readonly string[],
  { script, store, prefix = [] }: { script: string; store: string; prefix?: readonly string[] },
): RunningCommand {
  const startedAt = performance.now();
  const [program = process.execPath, ...rest] = [...prefix, process.execPath, script, "--db", store, ...args];
  const child = spawn(program, rest, {
    cwd: root,
    stdio: ["ignore", "ignore", "pipe"],
  });
  const lines: string[] = [];
  let progress = () => {};
  const progressed = new Promise<void>((resolve) => {
    progress = resolve;
  });
  createInterface({ input: child.stderr }).on("line", (line) => {
    lines.push(line);
    if (line.startsWith("{")) progress();
  });
  const ended = new Promise<CommandEnd>((resolve) => {
    child.on("close", (exitCode) => {
      progress();
      resolve({ exitCode, stderr: lines.join("\n"), ms: performance.now() - startedAt });
    });
  });
  return { child, progressed, ended };
}

/** Runs a command to its end. */
export function runCommand(args: readonly string[], options: Parameters<typeof startCommand>[1]): Promise<CommandEnd> {
  return startCommand(args, options).ended;
}

/** Waits some milliseconds. */
export function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

/** Puts a copy of a store that nobody has open in the place of another. */
export function copyStore(from: string, to: string): void {
  for (const end of ["", "-wal", "-shm"]) {
    rmSync(`${to}${end}`, { force: true });
    if (existsSync(`${from}${end}`)) copyFileSync(`${from}${end}`, `${to}${end}`);
  }
}
