import { join } from "node:path";
import { parseArgs } from "node:util";
import { type AnalysedFleet, analyseFleet } from "@/lib/services/analyse-fleet";
import { backtestFleet } from "@/lib/services/backtest-fleet";
import { type Context, openContext } from "@/lib/services/context";
import { type ImportProgress, importFiles } from "@/lib/services/import-files";
import { END_AT, periodOf } from "@/seed/period";
import { type WrittenPortfolio, writePortfolio } from "@/seed/write-files";

const usage =
  "tsx seed/main.ts [--db FILE] [--out DIR] [--sites N] [--detectors N] [--days N] [--months N] [--seed S] [--files-only]";
/** The day the portfolio is looked at: the first after its last record. */
const AS_OF_ON = new Date(END_AT).toISOString().slice(0, 10);
/** Days a portfolio must reach over before a month of it can be ranked again: a year before, a horizon and a month after. */
const LEAST_DAYS = 365 + 90 + 31;
const defaults = { db: ".demo/rafterline.sqlite", out: ".demo/files", sites: "60", detectors: "1200" } as const;

function readCall() {
  const { values } = parseArgs({
    options: {
      db: { type: "string", default: defaults.db },
      out: { type: "string", default: defaults.out },
      sites: { type: "string", default: defaults.sites },
      detectors: { type: "string", default: defaults.detectors },
      days: { type: "string", default: "1095" },
      seed: { type: "string", default: "rafterline" },
      months: { type: "string", default: "3" },
      "files-only": { type: "boolean", default: false },
    },
  });
  const count = (name: "sites" | "detectors" | "days" | "months", least = 1) => {
    const value = Number(values[name]);
    if (!Number.isInteger(value) || value < least)
      throw new RangeError(`--${name} is not a count: ${values[name]}\n${usage}`);
    return value;
  };
  return {
    ...values,
    sites: count("sites"),
    detectors: count("detectors"),
    days: count("days"),
    months: count("months", 0),
  };
}

function say(text: string): void {
  process.stdout.write(`${text}\n`);
}

async function timed<Answer>(what: string, step: () => Promise<Answer> | Answer): Promise<Answer> {
  const began = performance.now();
  const answer = await step();
  say(`${what}: ${((performance.now() - began) / 1000).toFixed(1)} s`);
  return answer;
}

const call = readCall();
const period = periodOf(call.days);
say(`Demo portfolio of ${call.sites} sites and ${call.detectors} detectors, ${call.days} days, into ${call.out}`);
const written = await timed("Files written", () => writePortfolio(call.out, { ...call, period }));
for (const { path, rows } of written.files) say(`  ${path}  ${rows.toLocaleString("en")} rows`);
say(`  ${join(call.out, "truth.csv")}  ${[...written.planted].map(([cause, many]) => `${cause} ${many}`).join(", ")}`);
if (!call["files-only"]) await load(written);

/** Brings the files in and analyses them by the verbs a user's files go through. */
async function load({ files }: WrittenPortfolio): Promise<void> {
  // A machine whose clock is behind must not refuse the portfolio as coming from the future.
  const context = openContext(call.db, { now: Math.max(Date.now(), END_AT) });
  const report = await timed("Files imported", () => importFiles(context, { files, onProgress: progress() }));
  for (const { name, rows, accepted, duplicates, conflicts, refused } of report.files) {
    const rest = `${duplicates} there before, ${conflicts} in conflict, ${refused} refused`;
    say(`  ${name}  ${rows.toLocaleString("en")} rows: ${accepted.toLocaleString("en")} new, ${rest}`);
  }
  const analysed = await timed<AnalysedFleet>("Fleet analysed", () => analyseFleet(context, { asOf: AS_OF_ON }));
  const { detectors, findings, worthwhileVisits } = analysed;
  say(`  detectors ${detectors}, findings ${findings}, visits worth their price ${worthwhileVisits}`);
  await rankPastMonths(context);
  say(`The store is ${call.db}`);
}

/** Ranks some past months again, so that the page of proof is filled; fewer than a user would, since each is an analysis. */
async function rankPastMonths(context: Context): Promise<void> {
  if (call.months === 0 || call.days < LEAST_DAYS) return;
  const { result } = await timed("Past months ranked again", () => backtestFleet(context, { months: call.months }));
  say(`  months ${result.origins.length}, faults that followed ${result.events.faults}`);
}

/** Says every tenth of the bytes how far the import is. */
function progress() {
  let said = 0;
  return ({ file, rows, bytes, totalBytes }: ImportProgress) => {
    const tenth = Math.floor((10 * bytes) / Math.max(1, totalBytes));
    if (tenth <= said) return;
    said = tenth;
    say(`  ${10 * tenth} %: ${file}, row ${rows.toLocaleString("en")}`);
  };
}
