import { statSync } from "node:fs";
import { openStore } from "@/db/client";
import { eachSeries, readReadings } from "@/db/queries/readings";
import type { ReadingSeries } from "@/lib/records/reading";
import { importFiles } from "@/lib/services/import-files";
import { permissions } from "@/lib/services/permissions";

/** One measured step in a process of its own: `import STORE FILE...`, `decode STORE` or `page STORE DETECTOR`. */
const [task = "", file = "", ...rest] = process.argv.slice(2);
const NOW = Date.UTC(2026, 6, 1);

const tasks: Record<string, () => Promise<object>> = { import: imported, decode: decoded, page: paged };
const answer = await tasks[task]?.();
process.stdout.write(`${JSON.stringify({ ...answer, rssMb: Math.round(process.resourceUsage().maxRSS / 1024) })}\n`);

async function imported(): Promise<object> {
  const store = openStore(file);
  const context = { store, now: NOW, permissions: new Set(permissions) };
  const startedAt = performance.now();
  const report = await importFiles(context, { files: rest.map((path) => ({ name: path, path })) });
  store.close();
  const ms = performance.now() - startedAt;
  const { rows = 0, accepted = 0, duplicates = 0, conflicts = 0, refused = 0, waiting = 0 } = report.files.at(-1) ?? {};
  return { ms, rows, accepted, duplicates, conflicts, refused, waiting, bytes: statSync(file).size };
}

/** A pass that decodes every reading, and the same pass over arrays in memory; both sum every value. */
async function decoded(): Promise<object> {
  const store = openStore(file);
  const pass = async () => {
    let sum = 0;
    for await (const { series } of eachSeries(store, { until: NOW })) sum += sumOf(series);
    return sum;
  };
  const kept: ReadingSeries[] = [];
  for await (const { series } of eachSeries(store, { until: NOW })) kept.push(series);
  const arrays = async () => kept.reduce((sum, series) => sum + sumOf(series), 0);
  await arrays();
  const ms = await timed(pass);
  const againstMs = await timed(arrays);
  store.close();
  return { ms, againstMs };
}

/** What the page of one detector asks of its readings, and the opening of the store with a row read. */
async function paged(): Promise<object> {
  const open = async () => {
    const store = openStore(file);
    store.sqlite.prepare("SELECT * FROM detectors LIMIT 1").get();
    return store;
  };
  (await open()).close();
  const opened = performance.now();
  const store = await open();
  const againstMs = performance.now() - opened;
  const [detectorId = ""] = rest;
  const times: number[] = [];
  // As in a server that has shown pages before.
  for (let run = 0; run < 41; run += 1) times.push(await timed(() => readReadings(store, { detectorId, until: NOW })));
  const ms = times.slice(20).sort((one, other) => one - other)[10] ?? Number.NaN;
  store.close();
  return { ms: ms + againstMs, againstMs };
}

function sumOf(series: { readonly [column: string]: Float64Array }): number {
  let sum = 0;
  for (const column of Object.values(series)) {
    for (let index = 0; index < column.length; index += 1) {
      const value = column[index] ?? 0;
      if (!Number.isNaN(value)) sum += value;
    }
  }
  return sum;
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const startedAt = performance.now();
  await work();
  return performance.now() - startedAt;
}
