// Makes the documents that follow from the code: `npm run docs` writes them, `--check` only says which are stale.
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import type { z } from "zod";
import { minorPerMajor } from "@/lib/kernel/money";
import { keysOf } from "@/lib/kernel/objects";
import { columnsOf, type FileKind, fileKinds, naturalKeys, requiredColumnsOf, rowSchemas } from "@/lib/records/files";
import { definitionOf, settingKeys } from "@/lib/settings/settings";
import { sources } from "@/lib/settings/sources";

const made = "<!-- Made from the code by `npm run docs`; edit the code, not this page. -->";

const fileNotes: Record<FileKind, string> = {
  sites: "One row a site.",
  detectors: "One row a beam detector. Its site must be known, from this import or an earlier one.",
  readings: "Periodic signal readings. The only file that grows large; it may be in any order.",
  events:
    "Panel conditions of a detector. Conditions may overlap. A row inside a `test` or `disablement` of the same detector is kept but counts in no rate.",
  work: "What was done at a detector. `done_at` is the end of the task; records within the `minutes` before it count in no rate.",
};

function interchange(): string {
  const parts = fileKinds.map((kind) => {
    const required = requiredColumnsOf(kind);
    const shape: Record<string, z.ZodType> = rowSchemas[kind].shape;
    const rows = columnsOf(kind).map((column) => {
      const must = required.includes(column) ? "yes" : "";
      return `| ${column} | ${must} | ${describe(shape[column])} |`;
    });
    const key = naturalKeys[kind].map((column) => `\`${column}\``).join(", ");
    return [
      `## ${kind}.csv`,
      "",
      `${fileNotes[kind]} Key: ${key}.`,
      "",
      "| column | required | meaning |",
      "|---|---|---|",
      ...rows,
    ].join("\n");
  });
  return [made, "# The five files", "", interchangeRules, "", parts.join("\n\n"), ""].join("\n");
}

const interchangeRules = `UTF-8 CSV with a header line, comma between cells, a dot as decimal sign. Columns may stand in any order; optional
ones may be left out. Times are ISO 8601 with an offset (\`2026-03-09T14:05:00+02:00\`), or wall time of the site
(\`2026-03-09T14:05:00\`); a wall time the clocks skipped is refused, one they showed twice is refused unless the import is
marked \`--fold first\` or \`--fold second\`.

A row's identity is its key. The same row again changes nothing (a duplicate); the same key with other values is a
conflict: it is listed and the stored row stays, unless the import says \`--replace\`. A bad row never stops the good ones:
it is kept with line, column, value and reason, and can be downloaded, mended and imported again. A row that only names a
site or detector not known yet waits, and goes in by itself once an import brings it. A time after the moment of the
import (five minutes of slack), or more than a day before the detector was installed, is refused. Every import is one unit
and can be taken back whole, at any time: rows of later imports that name a site or detector which it alone brought wait
again until that is sent anew.

That is the plainest form. The same columns also come in UTF-16 or Windows-1252, with semicolons, tabs or pipes, as a
workbook, as JSON lines, and packed by gzip; rows whose every cell is empty are no rows. Where most dates or numbers are
written otherwise (\`23.04.2025 10:15\`, \`98,5\`, \`98.5 %\`), the whole file decides how they are read, and a file that
leaves it open is refused until \`--dates\` or \`--decimal\` says it. Other columns are read by a [mapping](mappings.md).`;

function settings(): string {
  const rows = settingKeys.map((key) => {
    const { group, label, meaning, unit, default: value, source } = definitionOf(key);
    const shown = unit === "money" ? `${(value / minorPerMajor("EUR")).toFixed(2)} EUR` : `${value} ${unit}`;
    return `| ${group} | \`${key}\` | ${label} | ${shown} | ${meaning} | \`${source}\` |`;
  });
  return [
    made,
    "# The settings",
    "",
    "Every adjustable number, its default, and where the default comes from ([sources](sources.md)). Costs are kept in minor",
    "units of one currency.",
    "",
    "| group | key | name | default | meaning | source |",
    "|---|---|---|---|---|---|",
    ...rows,
    "",
  ].join("\n");
}

function sourceRegister(): string {
  const rows = keysOf(sources).map((id) => {
    const { title, place, standing } = sources[id];
    return `| \`${id}\` | ${title} | ${place ?? ""} | ${standing} |`;
  });
  return [made, "# The sources", "", "| id | source | place | standing |", "|---|---|---|---|", ...rows, ""].join("\n");
}

function describe(schema: z.ZodType | undefined): string {
  return schema?.description ?? "";
}

const documents = { "interchange.md": interchange(), "settings.md": settings(), "sources.md": sourceRegister() };
const checking = process.argv.includes("--check");
const stale = keysOf(documents).filter((name) => {
  const path = fileURLToPath(new URL(name, import.meta.url));
  const same = read(path) === documents[name];
  if (!same && !checking) writeFileSync(path, documents[name]);
  return !same;
});
if (checking && stale.length > 0) {
  process.stderr.write(`stale: ${stale.map((name) => `docs/${name}`).join(", ")}; run 'npm run docs' and commit\n`);
  process.exitCode = 1;
}

function read(path: string): string | null {
  try {
    return readFileSync(path, "utf8");
  } catch {
    return null;
  }
}
