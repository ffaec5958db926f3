// The one script behind the npm commands. Plain Node without dependencies, because it also installs them.
import { spawn, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { runTests } from "./run-tests.mjs";

const root = join(dirname(fileURLToPath(import.meta.url)), "../..");
const cacheFolder = join(root, ".cache");
const demoFolder = join(root, ".demo");
const demoStore = join(demoFolder, "rafterline.sqlite");
// A caller's NODE_ENV must not leak into the build; the measurement of use by the framework's maker stays off.
const { NODE_ENV: _, ...inherited } = process.env;
const environment = { ...inherited, NEXT_TELEMETRY_DISABLED: "1" };

const [task = "", ...rest] = process.argv.slice(2);
const tasks = {
  demo,
  test: () => test("all"),
  check: () => test("check"),
  slow: () => test("slow"),
  bench,
  rafterline,
};
if (!(task in tasks)) fail(`unknown task '${task}'; one of: ${Object.keys(tasks).join(", ")}`);
requireNode();
install();
await tasks[task]();

/** Builds when the sources changed, makes the demo store when there is none, and serves both on loopback. */
async function demo() {
  build();
  makeDemoStore();
  const port = await freePort(Number(process.env.PORT ?? 3000));
  say(`Rafterline shows the demo portfolio at http://127.0.0.1:${port} (this machine only). Stop it with Ctrl+C.`);
  const next = join(root, "node_modules/next/dist/bin/next");
  const server = spawn(process.execPath, [next, "start", "-H", "127.0.0.1", "-p", String(port)], {
    cwd: root,
    stdio: "inherit",
    env: { ...environment, RAFTERLINE_DB: process.env.RAFTERLINE_DB ?? demoStore },
  });
  for (const signal of ["SIGINT", "SIGTERM"]) process.on(signal, () => server.kill(signal));
  server.on("exit", (code) => process.exit(code ?? 0));
}

function makeDemoStore() {
  const ready = join(demoFolder, "ready");
  if (process.env.RAFTERLINE_DB || (existsSync(ready) && existsSync(demoStore))) return;
  say(
    "Making the demo portfolio: generating, importing, analysing and ranking past months takes about three minutes, once ...",
  );
  rmSync(demoFolder, { recursive: true, force: true });
  mkdirSync(demoFolder, { recursive: true });
  node(["--import", "tsx", "seed/main.ts", "--db", demoStore, "--out", join(demoFolder, "files")]);
  writeFileSync(ready, new Date().toISOString());
}

async function test(scope) {
  if (scope === "all") build();
  process.exitCode = await runTests({ root, cacheFolder, environment, scope });
}

/** The command line, in the folder it was called from: its standard output belongs to it alone. */
function rafterline() {
  inCallersFolder("app/_cli/main.ts");
}

/** Measurements, in the folder it was called from. */
function bench() {
  inCallersFolder("tests/bench/main.ts");
}

function inCallersFolder(script) {
  const loader = pathToFileURL(join(root, "node_modules/tsx/dist/loader.mjs")).href;
  const child = spawn(process.execPath, ["--import", loader, join(root, script), ...rest], {
    stdio: "inherit",
    cwd: process.env.INIT_CWD ?? process.cwd(),
    env: { ...process.env, TSX_TSCONFIG_PATH: join(root, "tsconfig.json") },
  });
  for (const signal of ["SIGINT", "SIGTERM"]) process.on(signal, () => child.kill(signal));
  child.on("exit", (code, signal) => process.exit(code ?? (signal ? 1 : 0)));
}

function requireNode() {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  if (major < 20 || (major === 20 && minor < 15))
    fail(`Node 20.15 or newer is needed; this is ${process.versions.node}`);
}

/** Installs when a package of the lock file is missing or has another version than the one installed. */
function install() {
  const wanted = lockedPackages(join(root, "package-lock.json"));
  const present = lockedPackages(join(root, "node_modules/.package-lock.json"));
  const missing = Object.entries(wanted).filter(
    ([path, entry]) => path && !entry.optional && !same(entry, present[path]),
  );
  if (missing.length === 0) return;
  say(`Installing ${missing.length} packages ...`);
  const options = { cwd: root, stdio: ["ignore", 2, 2], env: environment, shell: process.platform === "win32" };
  const result = spawnSync("npm", ["ci", "--no-audit", "--no-fund"], options);
  if (result.status !== 0) {
    fail(
      "npm ci failed; see above. Building better-sqlite3 needs python3, make and a C++ compiler where no ready binary can be had.",
    );
  }
}

function same(entry, installed) {
  return installed !== undefined && installed.version === entry.version;
}

function lockedPackages(file) {
  return existsSync(file) ? JSON.parse(readFileSync(file, "utf8")).packages : {};
}

/** Builds the pages when a source is newer than the last build. */
function build() {
  const stamp = join(cacheFolder, "build-stamp");
  const fingerprint = fingerprintOf(["app", "lib", "db", "package-lock.json", "next.config.ts", "tsconfig.json"]);
  const built =
    existsSync(join(root, ".next/BUILD_ID")) && existsSync(stamp) && readFileSync(stamp, "utf8") === fingerprint;
  if (built) return;
  say("Building the pages ...");
  node([join(root, "node_modules/next/dist/bin/next"), "build"]);
  mkdirSync(cacheFolder, { recursive: true });
  writeFileSync(stamp, fingerprint);
}

function fingerprintOf(paths) {
  const hash = createHash("sha256").update(process.version);
  const add = (path) => {
    const full = join(root, path);
    if (!existsSync(full)) return;
    if (statSync(full).isDirectory()) for (const name of readdirSync(full).sort()) add(join(path, name));
    else hash.update(path).update("\0").update(readFileSync(full)).update("\0");
  };
  for (const path of paths) add(path);
  return hash.digest("hex");
}

function node(args) {
  const result = spawnSync(process.execPath, args, { cwd: root, stdio: ["ignore", 2, 2], env: environment });
  if (result.status !== 0) fail(`'node ${args.join(" ")}' ended with ${result.status ?? result.signal}`);
}

/** The first free port from `wanted` on, so that a second demo does not fail on the first one's. */
async function freePort(wanted) {
  for (let port = wanted; port < wanted + 50; port += 1) if (await isFree(port)) return port;
  return fail(`no free port from ${wanted} to ${wanted + 49}; set PORT`);
}

function isFree(port) {
  return new Promise((resolve) => {
    const probe = createServer().once("error", () => resolve(false));
    probe.listen(port, "127.0.0.1", () => probe.close(() => resolve(true)));
  });
}

function say(text) {
  process.stderr.write(`${text}\n`);
}

function fail(text) {
  say(`rafterline: ${text}`);
  process.exit(2);
}
