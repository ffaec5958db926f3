import { print } from "@/app/_cli/command-context";
import type { Context } from "@/lib/services/context";
import type { ImportReport } from "@/lib/services/import-files";
import { eachRefusedRow, type ImportFileView, type RefusedRow, showImport } from "@/lib/services/show-import";

/** Prints an import as a JSON array, one object a file in the order given, row by row so that memory stays flat. */
export async function printImportJson(context: Context, report: ImportReport): Promise<void> {
  for (const [index, file] of report.files.entries()) {
    const { name, kind, rows, accepted, duplicates, conflicts, leftOut } = file;
    // Rows left out are among those rejected, each with that reason, so that the numbers of a file add up.
    const counts = { rows, accepted, duplicates, conflicts, ...(leftOut > 0 && { left_out: leftOut }) };
    const head = JSON.stringify({ file: name, kind, ...counts });
    await print(`${index === 0 ? "[\n" : ",\n"}  ${head.slice(0, -1)},"rejected":[`);
    let separator = "\n    ";
    for await (const { line, column, value, reason } of refusedRows(context, file)) {
      await print(`${separator}${JSON.stringify({ line, column, value, reason })}`);
      separator = ",\n    ";
    }
    await print(separator.startsWith(",") ? "\n  ]}" : "]}");
  }
  await print("\n]\n");
}

const SHOWN_ROWS = 20;

/** Prints an import for people: what became of each file, the first rows that did not go in, and what to do next. */
export async function printImportText(context: Context, report: ImportReport): Promise<void> {
  const { files } = await showImport(context, { importId: report.id, limit: SHOWN_ROWS });
  const lines: string[] = [`Import ${report.id}`];
  for (const file of files) {
    if (file.failure) {
      lines.push(`${file.name}: not read. ${sentenceOf(file.failure)}`);
      continue;
    }
    lines.push(`${file.name} (${file.kind}): ${countsOf(file)}`);
    if (file.note) lines.push(`  note: ${file.note}`);
    for (const row of file.rejects) lines.push(`  ${file.name} ${sentenceOf(row)}`);
    lines.push(...unknownWordsOf(file.unmapped));
    if (file.refused > SHOWN_ROWS) lines.push(`  ... and ${number(file.refused - SHOWN_ROWS)} more refused rows`);
    for (const wait of file.waits) {
      lines.push(
        `  ${number(wait.rows)} ${wait.rows === 1 ? "row waits" : "rows wait"} for ${wait.waitsFor} ${wait.waitsForId} (first: line ${wait.firstLine})`,
      );
    }
    if (file.waits.length === SHOWN_ROWS) lines.push("  ... there may be further ones; see the imports page");
    for (const { line, identity, stored, sent, replaced } of file.differing) {
      const what = replaced ? "replaced" : "stands with other values, kept";
      lines.push(
        `  ${file.name} line ${line}, ${wordsOf(identity)}: ${what} ${wordsOf(stored)}; sent ${wordsOf(sent)}`,
      );
    }
    const hidden = file.conflicts + file.replaced - file.differing.length;
    if (hidden > 0) lines.push(`  ... and ${number(hidden)} more that differ`);
  }
  for (const { name, counts } of report.takenIn) {
    lines.push(
      `${name} (earlier import): ${number(counts.accepted)} of the ${number(-counts.waiting)} rows that waited are taken in`,
    );
  }
  lines.push(...adviceOf(report));
  await print(`${lines.join("\n")}\n`);
}

/** A line for each column of ours with words the mapping does not know, most frequent first, and how often each came. */
function unknownWordsOf(unmapped: readonly { column: string; word: string; count: number }[]): string[] {
  const columns = [...new Set(unmapped.map((one) => one.column))];
  return columns.map((column) => {
    const words = unmapped.filter((one) => one.column === column);
    const said = words.map(({ word, count }) => `'${word}' (${number(count)})`).join(", ");
    return `  words the mapping does not know for ${column}: ${said}`;
  });
}

function adviceOf({ id, files }: ImportReport): string[] {
  const advice: string[] = [];
  if (files.some((file) => file.kind !== null && file.refused + file.waiting > 0)) {
    advice.push(
      `rafterline rejects ${id} --out FILE writes the rows that did not go in, to be mended and imported again.`,
    );
  }
  if (files.some((file) => file.conflicts > 0))
    advice.push("Conflicts were not taken in; import with --replace if they are right.");
  advice.push(`rafterline take-back ${id} undoes this import.`);
  return advice;
}

function countsOf({
  rows,
  accepted,
  replaced,
  duplicates,
  conflicts,
  refused,
  waiting,
  leftOut,
}: ImportFileView): string {
  const parts = [
    `${number(rows)} rows`,
    `${number(accepted)} accepted${replaced > 0 ? ` (${number(replaced)} replaced stored ones)` : ""}`,
    duplicates > 0 ? `${number(duplicates)} there already` : "",
    conflicts > 0 ? `${number(conflicts)} in conflict` : "",
    refused > 0 ? `${number(refused)} refused` : "",
    waiting > 0 ? `${number(waiting)} waiting` : "",
    leftOut > 0 ? `${number(leftOut)} left out as the mapping says` : "",
  ];
  return parts.filter((part) => part !== "").join(", ");
}

function sentenceOf({ line, column, value, reason }: RefusedRow): string {
  const place = [
    line === null ? "" : `line ${line}`,
    column === null ? "" : `column ${column}`,
    value === null ? "" : `value '${value}'`,
  ].filter((part) => part !== "");
  return place.length === 0 ? reason : `${place.join(", ")}: ${reason}`;
}

function wordsOf(values: Readonly<Record<string, string | number | boolean | null>>): string {
  return Object.entries(values)
    .map(([name, value]) => `${name} ${value ?? "(empty)"}`)
    .join(", ");
}

function number(value: number): string {
  return value.toLocaleString("en");
}

async function* refusedRows(context: Context, file: ImportFileView): AsyncGenerator<RefusedRow> {
  if (file.refused + file.waiting + file.leftOut <= SORTED_ROWS) {
    const all: RefusedRow[] = [];
    for await (const row of eachRefusedRow(context, { fileKey: file.fileKey })) all.push(row);
    yield* all.toSorted((one, other) => (one.line ?? 0) - (other.line ?? 0));
  } else yield* eachRefusedRow(context, { fileKey: file.fileKey });
}

/** Up to so many refused and waiting rows are put in the order of their lines before they are printed. */
const SORTED_ROWS = 100_000;
