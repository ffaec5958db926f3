import { join } from "node:path";
import { parseArgs } from "node:util";
import { periodOf } from "@/seed/period";
import { writePortfolio } from "@/seed/write-files";

const usage =
  "tsx seed/main.ts [--db FILE] [--out DIR] [--sites N] [--detectors N] [--days N] [--seed S] [--files-only]";
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
      "files-only": { type: "boolean", default: false },
    },
  });
  const count = (name: "sites" | "detectors" | "days") => {
    const value = Number(values[name]);
    if (!Number.isInteger(value) || value < 1)
      throw new RangeError(`--${name} is not a count: ${values[name]}\n${usage}`);
    return value;
  };
  return { ...values, sites: count("sites"), detectors: count("detectors"), days: count("days") };
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
