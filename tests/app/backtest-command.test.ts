import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { backtestFiles } from "@/tests/fixtures/backtest-files";

const root = fileURLToPath(new URL("../..", import.meta.url));
let folder = "";

type Answer = { readonly exit: number | null; readonly out: string; readonly err: string };

/** The command line as the npm script calls it, in a folder of the user's own. */
function rafterline(...args: readonly string[]): Promise<Answer> {
  return new Promise((resolve) => {
    const { RAFTERLINE_DB: _, INIT_CWD: __, ...env } = process.env;
    const child = spawn(process.execPath, [join(root, "app/_cli/run.mjs"), "rafterline", ...args], {
      cwd: folder,
      env,
    });
    const said = { out: "", err: "" };
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      said.out += text;
    });
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      said.err += text;
    });
    child.once("close", (exit) => resolve({ exit, ...said }));
  });
}

const printed = z.object({
  knownUntil: z.iso.datetime(),
  horizonDays: z.number(),
  origins: z.array(z.object({ asOf: z.iso.datetime(), detectors: z.number(), realisedCost: z.number() })),
  capture: z.array(
    z.object({ method: z.string(), points: z.array(z.object({ share: z.number(), held: z.number() })) }),
  ),
});

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "rafterline-backtest-"));
  for (const [name, text] of Object.entries(backtestFiles())) writeFileSync(join(folder, name), text);
  const names = Object.keys(backtestFiles());
  const { exit, err } = await rafterline("--db", "store.sqlite", "import", ...names);
  expect(exit, err).toBe(0);
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("rafterline backtest", { timeout: 60_000 }, () => {
  it("prints the table, writes the JSON beside it, and tells its progress on stderr alone", async () => {
    const file = join(folder, "backtest.json");
    const answer = await rafterline(
      "--db",
      "store.sqlite",
      "backtest",
      "--months",
      "2",
      "--json",
      file,
      "--progress",
      "json",
    );
    expect(answer.exit, answer.err).toBe(0);
    expect(answer.out).toMatch(/^2 rankings made as of 2025-06-01 to 2025-07-01/);
    expect(answer.out).toMatch(/^this ranking, by avoided cost( +\d+ %){4}$/m);
    const steps = answer.err.trim().split("\n");
    expect(JSON.parse(steps.at(-1) ?? "")).toEqual({ step: "backtest", what: "past months", done: 2, total: 2 });
    const json = printed.parse(JSON.parse(readFileSync(file, "utf8")));
    expect(json.origins.map(({ asOf }) => asOf)).toEqual(["2025-06-01T00:00:00.000Z", "2025-07-01T00:00:00.000Z"]);
    expect(json.capture).toHaveLength(8);
  });

  it("prints the JSON alone where it is asked on stdout, over another horizon", async () => {
    const answer = await rafterline(
      ...["--db", "store.sqlite", "backtest", "--months", "1", "--horizon", "30", "--json", "-", "--no-save"],
    );
    expect(answer.exit, answer.err).toBe(0);
    expect(printed.parse(JSON.parse(answer.out))).toMatchObject({ horizonDays: 30, origins: [{ detectors: 12 }] });
  });

  it.each([
    [["--months", "none"], /error: months 'none' is not a whole number/],
    [["--horizon", "300"], /error: records reach over 63\d days, which is too short/],
  ])("refuses %j with exit code 2 and says why", async (args, message) => {
    const answer = await rafterline("--db", "store.sqlite", "backtest", ...args);
    expect([answer.exit, answer.out]).toEqual([2, ""]);
    expect(answer.err).toMatch(message);
  });
});
