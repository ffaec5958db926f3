import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openStore } from "@/db/client";
import { eachSeries } from "@/db/queries/readings";
import { seededChance } from "@/lib/kernel/chance";
import type { ReadingSeries } from "@/lib/records/reading";
import type { Context } from "@/lib/services/context";
import { type ImportReport, importFiles } from "@/lib/services/import-files";
import { permissions } from "@/lib/services/permissions";
import { mutated } from "./fuzz-bytes";
import { fuzzDialect, written } from "./fuzz-dialect";
import { type Fate, type FuzzTable, fuzzTable } from "./fuzz-table";

/** How many files were tried, and what became of their rows. */
export type FuzzTally = {
  files: number;
  unreadable: number;
  rows: number;
  accepted: number;
  refused: number;
  slowestMs: number;
};

/** Longest a small file may take before it counts as a hang; generous, since machines that test are busy. */
const HANG_MS = 20_000;
/** Files of one import; most of the time of a small one is its beginning and end. */
export const FILES_AN_IMPORT = 25;
/** Files a store takes in before it is made anew, so that it stays small. */
const FILES_A_STORE = 1_000;

const directory = {
  "sites.csv": "site_id,name,latitude,longitude,time_zone\nS1,Hall,60,25,UTC\n",
  "detectors.csv": `detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access
${["D1", "D2", "D3"].map((id) => `${id},S1,Bay,reflective,60,9,90,2024-01-01,35,ladder`).join("\n")}
`,
};

/** A store to which generated files are sent one after the other; each is held against what must become of it. */
export class FuzzWorld {
  readonly tally: FuzzTally = { files: 0, unreadable: 0, rows: 0, accepted: 0, refused: 0, slowestMs: 0 };
  private readonly folder = mkdtempSync(join(tmpdir(), "rafterline-fuzz-"));
  private context: Context | null = null;
  private storeNumber = -1;
  private readings = new Map<string, ReadingSeries>();

  /**
   * Sends one import of tables whose every row's fate is known, one table a seed. Throws Error, naming the seed, when any
   * row fares otherwise or is stored with other values.
   */
  async tryTables(seeds: readonly number[]): Promise<void> {
    const trials = seeds.map((seed, index) => {
      const chance = seededChance(`table ${seed}`);
      const table = fuzzTable(chance, { slot: (this.tally.files + index) % FILES_A_STORE, maxRows: 12 });
      const dialect = fuzzDialect(chance);
      return { seed, table, dialect, bytes: written(table, { chance, dialect }) };
    });
    const report = await this.send(trials);
    this.readings = await this.readingsNow();
    for (const [index, { seed, table, dialect, bytes }] of trials.entries()) {
      const say = (what: string) => `table seed ${seed}, ${JSON.stringify(dialect)}: ${what}\n${shownBytes(bytes)}`;
      const file = report.files[index];
      if (dialect.form === "json_lines" && table.rows.length === 0) continue;
      if (file && file.kind === null && mayBeAsked(table, file.failure?.reason ?? "")) continue;
      if (!file || file.kind === null) throw new Error(say(`refused whole: ${file?.failure?.reason}`));
      const { rows, accepted, duplicates: duplicate, conflicts: conflict, refused, waiting } = file;
      const found: Record<Fate | "rows", number> = { rows, accepted, duplicate, conflict, refused, waiting };
      for (const [fate, count] of Object.entries(countsOf(table))) {
        const counted = Object.entries(found).find(([name]) => name === fate)?.[1];
        if (counted !== count) throw new Error(say(`${counted} rows ${fate}, and ${count} must be`));
      }
      this.compareStored(table, { say });
    }
  }

  /**
   * Sends one import of files of damaged bytes, one a seed: it must end in time and say what became of each row; as many
   * records must come in as rows are said to.
   */
  async tryBytes(seeds: readonly number[]): Promise<void> {
    const trials = seeds.map((seed, index) => {
      const chance = seededChance(`bytes ${seed}`);
      const table = fuzzTable(chance, { slot: (this.tally.files + index) % FILES_A_STORE, maxRows: 12 });
      return { seed, bytes: mutated(written(table, { chance, dialect: fuzzDialect(chance) }), chance) };
    });
    await this.worldOf();
    const before = this.records();
    const { files } = await this.send(trials);
    const grown = this.records() - before;
    const accepted = files.reduce((total, file) => total + file.accepted, 0);
    if (grown !== accepted) {
      throw new Error(`bytes seeds ${seeds.join(", ")}: ${accepted} rows accepted, and ${grown} records came in`);
    }
    for (const [index, file] of files.entries()) {
      const { seed, bytes } = trials[index] ?? { seed: -1, bytes: Buffer.alloc(0) };
      const lines = plainLinesOf(bytes);
      if (file.kind === null || lines === null || file.format?.form !== "separated") continue;
      // The lines before the header are no rows; it need not be the first when the damage put something before it.
      const separator = file.format.separator ?? ",";
      // A row whose every cell is empty is no row.
      const rows = lines
        .slice(Number(file.format?.headerLine ?? 1))
        .filter((line) => line.split(separator).some((cell) => cell.trim() !== "")).length;
      if (file.rows !== rows) {
        throw new Error(`bytes seed ${seed}: ${file.rows} rows told, and ${rows} lines\n${shownBytes(bytes)}`);
      }
    }
  }

  /** Removes all files and the store. */
  end(): void {
    this.context?.store.close();
    rmSync(this.folder, { recursive: true, force: true });
  }

  private async send(trials: readonly { seed: number; bytes: Buffer }[]): Promise<ImportReport> {
    const context = await this.worldOf();
    const files = trials.map(({ seed, bytes }) => {
      const file = { name: `${seed}.csv`, path: join(this.folder, `${seed}.csv`) };
      writeFileSync(file.path, bytes);
      return file;
    });
    const seeds = trials.map(({ seed }) => seed).join(", ");
    const startedAt = performance.now();
    const report = await importFiles(context, { files }).catch((thrown: unknown) => {
      throw new Error(`seeds ${seeds}: threw ${thrown instanceof Error ? thrown.stack : String(thrown)}`);
    });
    const ms = performance.now() - startedAt;
    if (ms > HANG_MS) throw new Error(`seeds ${seeds}: took ${Math.round(ms)} ms`);
    for (const { path } of files) rmSync(path);
    this.note(report, ms);
    return report;
  }

  private note(report: ImportReport, ms: number): void {
    const { tally } = this;
    tally.files += report.files.length;
    tally.slowestMs = Math.max(tally.slowestMs, Math.round(ms));
    for (const file of report.files) {
      const { rows, accepted, duplicates, conflicts, refused, waiting, leftOut } = file;
      if (rows !== accepted + duplicates + conflicts + refused + waiting + leftOut) {
        throw new Error(`seed ${file.name}: the counts do not add up: ${JSON.stringify(file)}`);
      }
      if (file.kind === null) tally.unreadable += 1;
      tally.rows += rows;
      tally.accepted += accepted;
      tally.refused += refused;
    }
  }

  /** Readings, events and work stored. */
  private records(): number {
    const found = this.context?.store.sqlite
      .prepare<[], { total: number }>(
        "SELECT (SELECT coalesce(sum(count), 0) FROM reading_chunks) + (SELECT count(*) FROM events) + (SELECT count(*) FROM work) AS total",
      )
      .get();
    return found?.total ?? 0;
  }

  private compareStored(table: FuzzTable, { say }: { say: (what: string) => string }): void {
    const store = this.context?.store;
    if (!store) return;
    if (table.kind === "readings") {
      for (const { fate, means } of table.rows) {
        if (fate === "accepted") this.compareReading(means, { say });
      }
      return;
    }
    const at = { events: "began_at", work: "done_at" }[table.kind];
    const columns = { minutes: "duration_min" } as Record<string, string>;
    const find = store.sqlite.prepare<[unknown, unknown], Record<string, unknown>>(
      `SELECT d.detector_id, t.* FROM ${table.kind} t JOIN detectors d ON d.key = t.detector_key WHERE d.detector_id = ? AND t.${at} = ?`,
    );
    for (const { fate, means } of table.rows) {
      if (fate !== "accepted") continue;
      const stored = find.get(means.detector_id, means[at]);
      for (const [column, value] of Object.entries(means)) {
        const found = stored?.[columns[column] ?? column];
        if (found !== value) throw new Error(say(`${column} is stored as ${String(found)} and means ${String(value)}`));
      }
    }
  }

  private async readingsNow(): Promise<Map<string, ReadingSeries>> {
    const found = new Map<string, ReadingSeries>();
    const store = this.context?.store;
    if (!store) return found;
    for await (const { detectorId, series } of eachSeries(store, { until: Infinity })) found.set(detectorId, series);
    return found;
  }

  private compareReading(means: Readonly<Record<string, unknown>>, { say }: { say: (what: string) => string }): void {
    const { detector_id: detectorId, read_at: readAt, signal_pct: signalPct } = means;
    const series = this.readings.get(String(detectorId));
    const place = series?.readAt.indexOf(Number(readAt)) ?? -1;
    const optional = (value: unknown) => (typeof value === "number" ? value : Number.NaN);
    const expected = [signalPct, optional(means.compensation_pct), optional(means.temperature_c)];
    const found = [series?.signalPct[place], series?.compensationPct[place], series?.temperatureC[place]];
    if (
      !expected.every(
        (value, index) =>
          value === found[index] || (Object.is(value, Number.NaN) && Object.is(found[index], Number.NaN)),
      )
    ) {
      throw new Error(say(`a reading is stored as ${found.join()} and means ${expected.join()}`));
    }
  }

  private async worldOf(): Promise<Context> {
    const number = Math.floor(this.tally.files / FILES_A_STORE);
    if (this.context && number === this.storeNumber) return this.context;
    this.storeNumber = number;
    this.context?.store.close();
    this.context = { store: openStore(":memory:"), now: Date.UTC(2026, 6, 1), permissions: new Set(permissions) };
    const files = Object.entries(directory).map(([name, text]) => {
      const path = join(this.folder, name);
      writeFileSync(path, text);
      return { name, path };
    });
    await importFiles(this.context, { files });
    return this.context;
  }
}

/** Whether a file may be refused as a whole with a question: most of its rows are wrong, and some could be read otherwise. */
function mayBeAsked(table: FuzzTable, reason: string): boolean {
  const { rows, refused } = countsOf(table);
  return reason.includes("can be read in several ways") && 2 * refused > rows;
}

function countsOf({ rows }: FuzzTable): Record<Fate | "rows", number> {
  const counts = { rows: rows.length, accepted: 0, duplicate: 0, conflict: 0, refused: 0, waiting: 0 };
  for (const { fate } of rows) counts[fate] += 1;
  return counts;
}

/** The lines of a text in plain ASCII without quotes or odd characters, in which a line is a row; null for other bytes. */
function plainLinesOf(bytes: Buffer): string[] | null {
  const text = bytes.toString("latin1");
  if (!/^[\n\r\t !#-~]*$/.test(text) || text.replaceAll("\r\n", "").includes("\r")) return null;
  return text.split(/\r?\n/);
}

function shownBytes(bytes: Buffer): string {
  return JSON.stringify(bytes.toString("latin1").slice(0, 2_000));
}

/** Portions of seeds from one on, each for one import. */
export function* seedPortions(from: number, count: number): Generator<number[]> {
  for (let at = 0; at < count; at += FILES_AN_IMPORT) {
    yield Array.from({ length: Math.min(FILES_AN_IMPORT, count - at) }, (_, index) => from + at + index);
  }
}
