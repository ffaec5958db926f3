import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeEach, describe, expect, it } from "vitest";
import { openStore } from "@/db/client";
import { importFiles } from "@/lib/services/import-files";
import { makeContext, smallFiles } from "../fixtures/import-folder";

const root = fileURLToPath(new URL("../..", import.meta.url));
const argsOf = (args: readonly string[]) => ["--import", "tsx", join(root, "app/_cli/main.ts"), ...args];

let folder = "";

/** Runs the command line as a user types it, in a folder of its own. */
function rafterline(args: readonly string[], env: Record<string, string> = {}) {
  const result = spawnSync(process.execPath, argsOf(args), {
    cwd: root,
    encoding: "utf8",
    env: { ...process.env, ...env },
  });
  return { exit: result.status, out: result.stdout, err: result.stderr };
}

function write(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

const writeAll = () => Object.entries(smallFiles).map(([name, text]) => write(name, text));
const store = () => join(folder, "store.sqlite");

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "rafterline-cli-"));
});

// Each command is a process of its own, which takes long to start on a busy machine.
describe("rafterline import", { timeout: 180_000 }, () => {
  it("prints one JSON object a file in the order given and nothing else on stdout, and ends with 0, 3 or 2", () => {
    const [sites = "", detectors = "", readings = "", events = "", work = ""] = writeAll();
    const first = rafterline(["--db", store(), "import", "--format", "json", work, events, readings, detectors, sites]);
    expect(first.exit).toBe(0);
    expect(JSON.parse(first.out)).toEqual([
      { file: work, kind: "work", rows: 2, accepted: 2, duplicates: 0, conflicts: 0, rejected: [] },
      { file: events, kind: "events", rows: 3, accepted: 3, duplicates: 0, conflicts: 0, rejected: [] },
      { file: readings, kind: "readings", rows: 6, accepted: 6, duplicates: 0, conflicts: 0, rejected: [] },
      { file: detectors, kind: "detectors", rows: 3, accepted: 3, duplicates: 0, conflicts: 0, rejected: [] },
      { file: sites, kind: "sites", rows: 2, accepted: 2, duplicates: 0, conflicts: 0, rejected: [] },
    ]);

    const bad = write(
      "bad.csv",
      "detector_id,read_at,signal_pct\nD1,2025-01-01T00:00:00Z,99.5\nD1,2025-01-02T00:00:00Z,401\nD8,2025-01-01T00:00:00Z,9\n",
    );
    const second = rafterline(["import", bad, "--format", "json", "--progress", "json"], { RAFTERLINE_DB: store() });
    expect(second.exit).toBe(3);
    expect(JSON.parse(second.out)).toEqual([
      {
        file: bad,
        kind: "readings",
        rows: 3,
        accepted: 0,
        duplicates: 0,
        conflicts: 1, // the stored reading has a compensation and a temperature
        rejected: [
          { line: 3, column: "signal_pct", value: "401", reason: expect.stringContaining("outside 0..400 %") },
          { line: 4, column: "detector_id", value: "D8", reason: expect.stringContaining("is not a known detector") },
        ],
      },
    ]);
    for (const line of second.err.trim().split("\n")) {
      expect(JSON.parse(line)).toMatchObject({ step: "import", file: bad, total: expect.any(Number) });
    }

    const missing = join(folder, "missing.csv");
    const third = rafterline(["--db", store(), "import", "--format", "json", missing, sites]);
    expect(third.exit).toBe(2);
    expect(JSON.parse(third.out)).toMatchObject([
      {
        file: missing,
        kind: null,
        rows: 0,
        rejected: [{ line: null, column: null, value: null, reason: "does not exist; check the path" }],
      },
      { file: sites, duplicates: 2 },
    ]);
  });

  it("reports in words, and the rows that did not go in can be written out, mended and imported", async () => {
    await importHere(writeAll());
    const events = write(
      "more.csv",
      "detector_id,began_at,condition,note\nD1,2025-04-01T00:00:00Z,fault,x\nD1,2025-04-31T00:00:00Z,fault,=1+1\n",
    );
    const report = rafterline(["--db", store(), "import", events]);
    expect(report.exit).toBe(3);
    expect(report.out).toContain("2 rows, 1 accepted, 1 refused");
    expect(report.out).toContain(
      "line 3, column began_at, value '2025-04-31T00:00:00Z': names a day that does not exist",
    );
    expect(report.out).toContain("note: columns not used: note");

    const out = join(folder, "rejects.csv");
    expect(rafterline(["--db", store(), "rejects", "2", "--out", out])).toMatchObject({ exit: 0, out: "" });
    const text = readFileSync(out, "utf8");
    expect(text).toContain("rejected_reason,detector_id,began_at,condition,note");
    expect(text).toContain(",'=1+1"); // a spreadsheet must not run it
    writeFileSync(out, text.replaceAll("2025-04-31", "2025-04-30"));
    expect(await importHere([out])).toMatchObject([{ rows: 1, accepted: 1 }]);
    expect(rafterline(["--db", store(), "take-back", "3"])).toMatchObject({ exit: 0, out: "import 3 is taken back\n" });
    expect(rafterline(["--db", store(), "imports"]).out).toMatch(/^3 .*taken back/);
  });

  it.each([
    [["import", "x.csv", "--format", "xml"], /Allowed choices are text, json/],
    [["imprt", "x.csv"], /unknown command/],
    [["--db", "", "imports"], /^error: --db needs a file name/],
    [["--db", "/nowhere/at/all.sqlite", "imports"], /^error: the folder \/nowhere\/at does not exist/],
  ])("ends with 2 and a clear line on stderr for a wrong call: %j", (args, message) => {
    const result = rafterline(args);
    expect(result).toMatchObject({ exit: 2, out: "", err: expect.stringMatching(message) });
  });
});

describe("a command", { timeout: 60_000 }, () => {
  it("loads its verb only when it runs, so that help and short lists do not wait for the statistics", () => {
    const folderOfCommands = join(root, "app/_cli");
    // The printing of an import is loaded together with its verb.
    const files = readdirSync(folderOfCommands).filter((name) => name.endsWith(".ts") && name !== "import-output.ts");
    const early = files.filter((name) =>
      /^import (?!type)[^;]*?"@\/lib\/services\//m.test(readFileSync(join(folderOfCommands, name), "utf8")),
    );
    expect(files.length).toBeGreaterThan(5);
    expect(early).toEqual([]);
  });

  it("names the store option and the exit codes in its own help", () => {
    const help = rafterline(["import", "--help"]);
    expect(help).toMatchObject({ exit: 0, err: "" });
    expect(help.out).toContain("--db <file>");
    expect(help.out).toContain("Exit code: 0 all rows are in");
  });
});

describe("rafterline mappings and watch", { timeout: 180_000 }, () => {
  it("guess a mapping, save it, read files of its columns by it, and print it as it was saved", () => {
    const log = write(
      "log.csv",
      "Melder;Datum;Uhrzeit;Ereignis\nD1;23.02.2025;10:00;Störung\nD1;24.02.2025;11:00;Feuer\n",
    );
    expect(rafterline(["--db", store(), "import", ...writeAll()]).exit).toBe(0);
    const unknown = rafterline(["--db", store(), "import", log]);
    expect([unknown.exit, unknown.out]).toEqual([2, expect.stringContaining("make a mapping")]);
    const draft = join(folder, "draft.json");
    const guessed = rafterline(["--db", store(), "mappings", "guess", log, "--out", draft]);
    expect(guessed.err).toContain("in doubt: condition");
    const preview = rafterline(["--db", store(), "mappings", "preview", log, "--mapping", draft]);
    expect(preview.out).toContain("line 2: ready; detector_id D1, began_at 2025-02-23T10:00:00");
    expect(rafterline(["--db", store(), "mappings", "save", "Hall log", draft]).out).toBe(
      "saved as Hall log, version 1\n",
    );
    const read = rafterline(["--db", store(), "import", log, "--format", "json"]);
    expect([read.exit, JSON.parse(read.out)]).toMatchObject([0, [{ rows: 2, accepted: 2, rejected: [] }]]);
    const shown = rafterline(["--db", store(), "mappings", "show", "Hall log@1"]);
    expect(JSON.parse(shown.out)).toEqual(JSON.parse(readFileSync(draft, "utf8")));
  });

  it("look into a folder once, move its files, and end with 3 when rows did not go in", () => {
    writeAll();
    const first = rafterline(["--db", store(), "watch", folder, "--once", "--settled", "0", "--format", "json"]);
    expect(first.exit).toBe(3);
    const lines = first.out
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line).name);
    expect(lines).toEqual(["detectors.csv", "events.csv", "readings.csv", "sites.csv", "work.csv"]);
    expect(readdirSync(join(folder, "done")).filter((name) => name.endsWith(".csv.report.json"))).toHaveLength(5);
    expect(existsSync(join(folder, ".rafterline-watch"))).toBe(false);
  });
});

/** Imports files into the store of the test within this process, as the command does. */
async function importHere(paths: readonly string[]) {
  const context = makeContext({ store: openStore(store()) });
  try {
    const files = paths.map((path) => ({ name: path, path }));
    return (await importFiles(context, { files })).files;
  } finally {
    context.store.close();
  }
}
