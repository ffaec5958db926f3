import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { type Command, InvalidArgumentError } from "commander";
import { type BenchFleet, writeDirectory, writeReadings } from "@/tests/bench/import-files";
import { countFrom, printLine } from "@/tests/bench/lines";
import { addRawRows } from "@/tests/bench/raw-rows";

const goals = ["by-detector", "by-time", "again", "memory", "bytes", "page", "decode", "daily"] as const;
type Goal = (typeof goals)[number];

type Child = { ms: number; againstMs?: number; rssMb: number; rows?: number; bytes?: number };

/** Adds `bench import`. */
export function addImportBench(bench: Command): void {
  bench
    .command("import")
    .description("imports files of readings and sets time, memory and bytes against the goals; one JSON line a goal")
    .option("--detectors <count>", "detectors of the hourly fleet", countFrom(1), 200)
    .option("--days <count>", "days of readings", countFrom(1), 1095)
    .option("--runs <count>", "runs of each pair, taken in turns; the median counts", countFrom(1), 3)
    .option("--only <goals>", `some of ${goals.join(", ")}`, goalsFrom, [...goals])
    .action(
      ({ detectors, days, runs, only }: { detectors: number; days: number; runs: number; only: readonly Goal[] }) => {
        const folder = mkdtempSync(join(tmpdir(), "rafterline-bench-"));
        try {
          const hourly = { detectors, days, stepHours: 1 };
          for (const order of ["detector", "time"] as const) measureOrder({ folder, fleet: hourly, order, runs, only });
          if (only.includes("daily"))
            measureDaily({ folder, fleet: { detectors: detectors * 25, days, stepHours: 24 } });
        } finally {
          rmSync(folder, { recursive: true, force: true });
        }
      },
    );
}

type Measured = {
  readonly folder: string;
  readonly fleet: BenchFleet;
  readonly order: "detector" | "time";
  readonly runs: number;
  readonly only: readonly Goal[];
};

function measureOrder({ folder, fleet, order, runs, only }: Measured): void {
  const goal = order === "detector" ? "by-detector" : "by-time";
  const wanted: Goal[] =
    order === "detector" ? ["by-detector", "again", "memory", "bytes", "page", "decode"] : ["by-time"];
  if (!wanted.some((one) => only.includes(one))) return;
  const directory = writeDirectory(folder, fleet);
  const path = join(folder, "readings.csv");
  writeReadings(path, fleet, order);
  const store = join(folder, "bench.sqlite");
  const pairs: { first: Child; again: Child; raw: { ms: number; by: string } | null }[] = [];
  for (let run = 0; run < (only.includes(goal) || only.includes("again") ? runs : 1); run += 1) {
    removeStore(store);
    child(["import", store, ...directory]);
    const first = child(["import", store, path]);
    pairs.push({
      raw: only.includes(goal) ? addRawRows(path, join(folder, "raw.sqlite")) : null,
      first,
      again: only.includes("again") && order === "detector" ? child(["import", store, path]) : first,
    });
  }
  const first = median(pairs.map((pair) => pair.first.ms));
  const { rows = 1, bytes = 0 } = pairs[0]?.first ?? {};
  const raws = pairs.flatMap(({ raw }) => (raw ? [raw] : []));
  if (raws.length > 0) {
    const limit = order === "detector" ? 0.6 : 0.9;
    line(goal, { value: first, against: median(raws.map(({ ms }) => ms)), limit, runs, by: raws[0]?.by });
  }
  if (order === "time") return;
  if (only.includes("again"))
    line("again", { value: median(pairs.map((pair) => pair.again.ms)), against: first, limit: 1, runs });
  const rssMb = Math.max(...pairs.flatMap((pair) => [pair.first.rssMb, pair.again.rssMb]));
  if (only.includes("memory"))
    printLine({ bench: "import", goal: "memory", value: rssMb, limit: 300, within: rssMb <= 300, unit: "MB" });
  if (only.includes("bytes")) bytesLine("bytes", { bytes, rows });
  if (only.includes("page")) {
    const pages = Array.from({ length: runs }, () => child(["page", store, "D00001"]));
    const more = median(pages.map(({ ms, againstMs = 0 }) => ms - againstMs));
    printLine({
      bench: "import",
      goal: "page",
      value: rounded(more),
      limit: 3,
      within: more <= 3,
      unit: "ms more",
      runs,
    });
  }
  if (only.includes("decode")) {
    const passes = Array.from({ length: runs }, () => child(["decode", store]));
    const against = median(passes.map(({ againstMs = 0 }) => againstMs));
    line("decode", { value: median(passes.map(({ ms }) => ms)), against, limit: 6, runs });
  }
}

/** A file by time of many detectors with few readings each: the bytes and the memory that it takes. */
function measureDaily({ folder, fleet }: { folder: string; fleet: BenchFleet }): void {
  const directory = writeDirectory(folder, fleet);
  const path = join(folder, "daily.csv");
  writeReadings(path, fleet, "time");
  const store = join(folder, "daily.sqlite");
  child(["import", store, ...directory]);
  const { rssMb, ms, rows = 1, bytes = 0 } = child(["import", store, path]);
  bytesLine("daily-bytes", { bytes, rows });
  printLine({ bench: "import", goal: "daily-memory", value: rssMb, limit: 300, within: rssMb <= 300, unit: "MB" });
  printLine({ bench: "import", goal: "daily-time", value: rounded(ms), unit: "ms" });
}

function bytesLine(goal: string, { bytes, rows }: { bytes: number; rows: number }): void {
  const value = rounded(bytes / rows);
  printLine({ bench: "import", goal, value, limit: 4, within: value <= 4, unit: "bytes a reading" });
}

function line(
  goal: string,
  {
    value,
    against,
    limit,
    runs,
    by,
  }: { value: number; against: number; limit: number; runs: number; by?: string | undefined },
): void {
  const ratio = rounded(value / against);
  const pair = { value: rounded(value), against: rounded(against), ratio, limit, within: ratio <= limit };
  printLine({ bench: "import", goal, ...pair, unit: "ms", runs, ...(by === undefined ? {} : { by }) });
}

function child(words: string[]): Child {
  const script = fileURLToPath(new URL("import-child.ts", import.meta.url));
  const result = spawnSync(process.execPath, [...process.execArgv, script, ...words], { encoding: "utf8" });
  if (result.status !== 0) throw new Error(`the measured process failed: ${result.stderr}`);
  return JSON.parse(result.stdout);
}

function removeStore(store: string): void {
  for (const end of ["", "-wal", "-shm"]) rmSync(store + end, { force: true });
}

function goalsFrom(text: string): Goal[] {
  return text.split(",").map((name) => {
    const goal = goals.find((one) => one === name);
    if (!goal) throw new InvalidArgumentError(`some of ${goals.join(", ")}`);
    return goal;
  });
}

function median(values: readonly number[]): number {
  return values.toSorted((one, other) => one - other)[Math.floor(values.length / 2)] ?? Number.NaN;
}

function rounded(value: number): number {
  return Math.round(value * 100) / 100;
}
