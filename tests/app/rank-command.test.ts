import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { rankingSchema } from "@/tests/fixtures/ranking-schema";

const root = fileURLToPath(new URL("../..", import.meta.url));
const DAY_MS = 86_400_000;
let folder = "";

type Answer = { readonly exit: number | null; readonly out: string; readonly err: string };

/** The command line as the npm script calls it, in a folder of the user's own; each call is a process that starts slowly. */
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

const rank = (...args: readonly string[]) =>
  rafterline("--db", "store.sqlite", "rank", "--as-of", "2026-06-30", "--horizon-days", "90", ...args);
const parsed = ({ out }: Answer) => rankingSchema.parse(JSON.parse(out));

const ids = ["N-01", "N-02", "S-01", "S-02", "S-03", "=1+1"];
const firstAt = Date.UTC(2025, 0, 1);
const iso = (day: number, hour = 6) => new Date(firstAt + day * DAY_MS + hour * 3_600_000).toISOString();

/** Five files of a small invented operator: six detectors on two sites, a year and a half of days, one that soils. */
const files: Readonly<Record<string, string>> = {
  "sites.csv":
    "site_id,name,latitude,longitude,time_zone\nNORTH,North hall,60.17,24.94,Europe/Helsinki\nSOUTH,South hall,51.5,0,Europe/London\n",
  "detectors.csv": `detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access\n${ids
    .map((id, index) => `${id},${index < 2 ? "NORTH" : "SOUTH"},Bay ${index},reflective,60,9,90,2025-01-01,35,ladder`)
    .join("\n")}\nLATER,SOUTH,Bay 9,reflective,60,9,90,2026-07-02,35,ladder\n`,
  "readings.csv": `detector_id,read_at,signal_pct\n${ids
    .flatMap((id, index) => {
      return Array.from({ length: 540 }, (_, day) => {
        return `${id},${iso(day)},${(index === 0 ? 100 - 0.05 * day : 99 - ((day * 7) % 10) / 10).toFixed(2)}`;
      });
    })
    .join("\n")}\n`,
  "events.csv": `detector_id,began_at,ended_at,condition,cause,verdict\n${[40, 200, 330, 420, 450, 480, 510]
    .map((day) => `N-02,${iso(day)},${iso(day, 7)},fault,low_signal,`)
    .join("\n")}\nS-01,${iso(100)},${iso(100, 7)},fire,,unwanted\nS-01,${iso(300)},${iso(300, 7)},fire,,equipment\n`,
  "work.csv": `detector_id,done_at,task,result,reactive\nS-02,${iso(150)},realign,,true\nS-03,${iso(400)},clean,,false\n`,
};
// After the end of 30 June: must change nothing.
const later: Readonly<Record<string, string>> = {
  "later-readings.csv": "detector_id,read_at,signal_pct\nN-01,2026-07-01T00:00:00Z,1\nS-01,2026-07-03T00:00:00Z,5\n",
  "later-events.csv":
    "detector_id,began_at,ended_at,condition,cause,verdict\nS-03,2026-07-01T00:00:00Z,,fault,path_blocked,\nS-01,2026-07-02T00:00:00Z,,fire,,genuine\n",
  "later-work.csv": "detector_id,done_at,task,result,reactive\nN-01,2026-07-01T00:00:00Z,replace,,true\n",
};

const write = (name: string, text: string) => writeFileSync(join(folder, name), text);
let first: Answer = { exit: null, out: "", err: "" };

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "rafterline-rank-"));
  for (const [name, text] of Object.entries({ ...files, ...later })) write(name, text);
  const names = Object.keys(files);
  const [given, turned] = await Promise.all([
    rafterline("--db", "store.sqlite", "import", ...names),
    rafterline("--db", "turned.sqlite", "import", ...[...names].reverse(), ...Object.keys(later)),
  ]);
  expect([given.exit, turned.exit], given.err + turned.err).toEqual([0, 0]);
  first = await rank("--format", "json");
}, 300_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("rafterline rank --format json", { timeout: 300_000 }, () => {
  it("prints the documented JSON and nothing else, with every detector in service once", () => {
    expect(first).toMatchObject({ exit: 0, err: "" });
    const ranking = parsed(first);
    expect(ranking).toMatchObject({ asOf: "2026-06-30", horizonDays: 90, currency: "EUR" });
    expect(ranking.detectors.map((one) => one.detectorId).sort()).toEqual([...ids].sort());
    expect(ranking.detectors.map((one) => one.rank)).toEqual([1, 2, 3, 4, 5, 6]);
    // N-01 falls by half a point in ten days and has no limit yet: the one planted cause.
    expect(ranking.detectors.find((one) => one.detectorId === "N-01")?.findings).toMatchObject([
      { kind: "signal_drift" },
    ]);
  });

  it("gives the same bytes again", async () => {
    expect((await rank("--format", "json")).out).toBe(first.out);
  });

  it("gives the same bytes from files imported in another order, and whatever came after the moment", async () => {
    const [turned, after] = await Promise.all([
      rafterline("--db", "turned.sqlite", "rank", "--as-of", "2026-06-30", "--format", "json"),
      rafterline("--db", "turned.sqlite", "rank", "--as-of", "2026-07-05T00:00:00Z", "--format", "json"),
    ]);
    expect(turned.out).toBe(first.out);
    // The later records are there, and count once the moment lies after them.
    expect(parsed(after).asOf).toBe("2026-07-05T00:00:00Z");
    expect(parsed(after).detectors.map((one) => one.detectorId)).toContain("LATER");
  });
});

describe("rafterline rank --costs", { timeout: 300_000 }, () => {
  it("takes all costs from the file, or those it gives and the rest from the settings", async () => {
    const access = { ladder: 100, tower: 200, scissor_lift: 300, boom_lift: 400 };
    const task = { clean: 7, realign: 8, repair: 9, replace: 10, survey: 11 };
    const all = { currency: "GBP", perFaultEpisode: 50_000, perUnwantedAlarm: 60_000, travelPerVisit: 1000 };
    write("all.json", JSON.stringify({ ...all, accessPerVisit: access, perTask: task }));
    write("some.json", JSON.stringify({ travelPerVisit: 9501 }));
    const [full, partial] = await Promise.all([
      rank("--format", "json", "--costs", "all.json"),
      rank("--format", "json", "--costs", "some.json"),
    ]);
    expect(parsed(full).currency).toBe("GBP");
    for (const { visit } of parsed(full).detectors) expect(visit.cost).toBe(1000 + 100 + task[visit.task]);
    const stored = new Map(parsed(first).detectors.map((one) => [one.detectorId, one.visit]));
    // Travel is 9,500 in the settings: a visit costs one minor unit more and avoids the same.
    for (const { detectorId, visit } of parsed(partial).detectors) {
      const usual = stored.get(detectorId);
      expect(visit).toMatchObject({ task: usual?.task, cost: (usual?.cost ?? 0) + 1, avoidedCost: usual?.avoidedCost });
    }
  });
});

describe("rafterline rank --format csv", { timeout: 300_000 }, () => {
  it("gives the same ranking a line a detector, with an id that looks like a formula made harmless", async () => {
    const { exit, out, err } = await rank("--format", "csv");
    expect({ exit, err }).toEqual({ exit: 0, err: "" });
    const [header = "", ...lines] = out.trimEnd().split("\r\n");
    expect(header).toMatch(/^rank,detector_id,site_id,task,currency,cost_minor,/);
    expect(lines.map((line) => line.split(",").slice(0, 2))).toEqual(
      parsed(first).detectors.map(({ rank: place, detectorId }) => [
        String(place),
        detectorId === "=1+1" ? "'=1+1" : detectorId,
      ]),
    );
  });
});

describe("a wrong call of rank", { timeout: 300_000 }, () => {
  const calls: readonly [string, readonly string[], RegExp][] = [
    ["a day that does not exist", ["rank", "--as-of", "2026-02-30"], /as-of '2026-02-30' is not a moment; give a day/],
    [
      "a horizon of no days",
      ["rank", "--horizon-days", "0"],
      /horizon '0' is not a whole number of days from 1 to 730/,
    ],
    ["a horizon in words", ["rank", "--horizon-days", "ninety"], /horizon 'ninety' is not a whole number.*write 90/],
    ["an unknown command", ["rnak"], /unknown command 'rnak'[\s\S]*--help shows the commands/],
    [
      "a costs file that is not there",
      ["rank", "--costs", "none.json"],
      /costs file none\.json cannot be read.*check its path/,
    ],
    ["costs that are not JSON", ["rank", "--costs", "bad.json"], /costs file bad\.json is not JSON; check/],
    ["an unknown cost", ["rank", "--costs", "unknown.json"], /unknown key 'perTask\.polish'; leave it out/],
    ["a negative cost", ["rank", "--costs", "negative.json"], /'travelPerVisit', which is below 0; give an amount/],
    [
      "a folder that is not there",
      ["--db", join("no", "such", "store.sqlite"), "rank"],
      /the folder .*no.such does not exist/,
    ],
    ["an empty store", ["--db", "empty.sqlite", "rank"], /no records yet; import your files first/],
  ];

  it("ends with 2, says on stderr what to do, and leaves stdout empty", async () => {
    write("bad.json", "{ travel: 12 ");
    write("unknown.json", JSON.stringify({ perTask: { polish: 5 } }));
    write("negative.json", JSON.stringify({ travelPerVisit: -1 }));
    // Two at a time: each is a process of its own.
    for (let index = 0; index < calls.length; index += 2) {
      const pair = calls.slice(index, index + 2);
      const answers = await Promise.all(
        pair.map(([, args]) => rafterline(...(args.includes("--db") ? args : ["--db", "store.sqlite", ...args]))),
      );
      for (const [place, [name, , message]] of pair.entries()) {
        expect(answers[place], name).toMatchObject({ exit: 2, out: "", err: expect.stringMatching(message) });
        expect(answers[place]?.err, name).not.toMatch(/\n\s+at /);
      }
    }
    expect(existsSync(join(folder, "no"))).toBe(false);
  });
});
