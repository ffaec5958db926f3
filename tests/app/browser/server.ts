import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../..", import.meta.url));

/** A built server on loopback with its own store. */
export type RunningServer = {
  readonly url: string;
  readonly folder: string;
  readonly store: string;
  stop(): Promise<void>;
};

/**
 * Starts the built server over a store in a new folder; `portfolio` 'small' fills it with the generator's small fleet
 * through the same import as a user's files, 'empty' leaves it as on the first start.
 */
export async function startServer({ portfolio }: { portfolio: "small" | "empty" }): Promise<RunningServer> {
  const folder = mkdtempSync(join(tmpdir(), "rafterline-browser-"));
  const store = join(folder, "store.sqlite");
  if (portfolio === "small") {
    const size = ["--sites", "6", "--detectors", "60", "--days", "800"];
    run(["seed/main.ts", "--db", store, "--out", join(folder, "files"), ...size]);
  }
  const port = await freePort();
  const next = join(root, "node_modules/next/dist/bin/next");
  const child = spawn(process.execPath, [next, "start", "-H", "127.0.0.1", "-p", String(port)], {
    cwd: root,
    env: { ...process.env, NODE_ENV: "production", RAFTERLINE_DB: store, NEXT_TELEMETRY_DISABLED: "1" },
    stdio: ["ignore", "pipe", "pipe"],
  });
  const url = `http://127.0.0.1:${port}`;
  await untilItAnswers(url, child);
  return { url, folder, store, stop: () => stop(child, folder) };
}

/** Runs a TypeScript file of the product to its end; throws with its output when it fails. */
export function run(args: readonly string[]): string {
  return execFileSync(process.execPath, ["--import", "tsx", ...args], { cwd: root, encoding: "utf8" });
}

async function untilItAnswers(url: string, child: ChildProcess): Promise<void> {
  let output = "";
  child.stdout?.on("data", (data) => {
    output += String(data);
  });
  child.stderr?.on("data", (data) => {
    output += String(data);
  });
  for (let tries = 0; tries < 300; tries += 1) {
    if (child.exitCode !== null) throw new Error(`the server ended with ${child.exitCode}:\n${output}`);
    const answer = await fetch(url).catch(() => null);
    if (answer) return;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  throw new Error(`the server did not answer within a minute:\n${output}`);
}

async function stop(child: ChildProcess, folder: string): Promise<void> {
  if (child.exitCode === null) {
    const ended = new Promise((resolve) => child.once("exit", resolve));
    child.kill("SIGTERM");
    await ended;
  }
  rmSync(folder, { recursive: true, force: true });
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer().once("error", reject);
    probe.listen(0, "127.0.0.1", () => {
      const address = probe.address();
      const port = typeof address === "object" && address !== null ? address.port : 0;
      probe.close(() => resolve(port));
    });
  });
}
