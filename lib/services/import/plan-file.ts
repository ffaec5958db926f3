import type { Store } from "@/db/client";
import { type Layout, readHeader } from "@/lib/import/header";
import { canonicalMapping, isPlainCanonical, JUDGED_ROWS } from "@/lib/import/mapping/canonical-mapping";
import { needsEvidence, TableEvidence } from "@/lib/import/mapping/evidence";
import type { Mapping } from "@/lib/import/mapping/mapping";
import { missingColumns, missingNeededColumns } from "@/lib/import/mapping/row-mapper";
import { settle } from "@/lib/import/mapping/settle";
import type { SettledMapping } from "@/lib/import/mapping/settled-mapping";
import { shown } from "@/lib/import/quote";
import type { Table } from "@/lib/import/table/table";
import type { FileKind } from "@/lib/records/files";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import type { FileToImport, ReadChoices } from "@/lib/services/import/file-to-import";
import { openTable } from "@/lib/services/import/open-table";
import { savedMappingsFor } from "@/lib/services/mappings";

/** How a file will be read: as it stands by its own layout, or by a mapping whose open questions are settled. */
export type FilePlan = {
  readonly kind: FileKind;
  readonly table: Table;
  readonly way: { readonly layout: Layout } | { readonly settled: SettledMapping };
  readonly mappingVersionKey: number | null;
  readonly note: string | null;
};

/**
 * Finds out how a file is to be read, before a row of it is stored.
 *
 * A mapping that was chosen goes first; a canonical header needs none, but where its dates or numbers are written in
 * another way; else a saved mapping that was made for just these columns, if there is exactly one, reads it.
 *
 * @throws FileFlaw when the file cannot be read, nobody knows its columns, or its dates or numbers can be read two ways
 */
export async function planFile(store: Store, file: FileToImport): Promise<FilePlan> {
  const table = await openTable(file.path, { ...file.mapping?.table, ...file.table });
  const plan = await chosenPlan(store, { table, file });
  if (file.kind === undefined || plan.kind === file.kind) return plan;
  throw new FileFlaw(`holds ${plan.kind}, where ${file.kind} are wanted; send the right file`, {
    line: lineOfHeader(table),
  });
}

async function chosenPlan(store: Store, { table, file }: { table: Table; file: FileToImport }): Promise<FilePlan> {
  if (file.mapping) return mappedPlan(table, file.mapping, { file, versionKey: file.mappingVersionKey ?? null });
  const header = readHeader(table.columns, { name: file.name });
  if (header.ok) return canonicalPlan(table, header.layout, file);
  const [only, ...others] = await savedMappingsFor(store, { columns: table.columns });
  const where = { line: lineOfHeader(table), value: shown(table.columns.join(",")) };
  if (only && others.length === 0) {
    const note = `read by the mapping ${only.name}, version ${only.version}, which was made for these columns`;
    return mappedPlan(table, only.mapping, { file, versionKey: only.versionKey, note });
  }
  if (only) {
    const names = [only, ...others].map((one) => one.name).join(", ");
    throw new FileFlaw(`could be read by several mappings (${names}); choose one of them`, where);
  }
  throw new FileFlaw(
    `${header.reason}, or make a mapping that says which column is which (on the imports page, or by rafterline mappings guess)`,
    {
      ...where,
      column: header.column,
    },
  );
}

async function canonicalPlan(table: Table, layout: Layout, file: FileToImport): Promise<FilePlan> {
  const asked = file.dates !== undefined || file.decimal !== undefined;
  if (!asked && isPlainCanonical(layout.kind, table.columns, await firstRows(table))) {
    const note = together(table.note, layout.note);
    return { kind: layout.kind, table, way: { layout }, mappingVersionKey: null, note };
  }
  const mapping = canonicalMapping(layout.kind, table.columns);
  return mappedPlan(table, mapping, { file, versionKey: null, note: layout.note });
}

async function mappedPlan(
  table: Table,
  mapping: Mapping,
  { file, versionKey, note = null }: { file: FileToImport; versionKey: number | null; note?: string | null },
): Promise<FilePlan> {
  const needed = missingNeededColumns(mapping, table.columns);
  if (needed.length > 0) {
    throw new FileFlaw(
      `lacks ${needed.map(shown).join(", ")}, which the mapping reads; choose another mapping, or the line that names the columns`,
      { line: lineOfHeader(table), value: shown(table.columns.join(",")) },
    );
  }
  const lacking = missingColumns(mapping, table.columns).map(shown).join(", ");
  const evidence = new TableEvidence(mapping, table.columns);
  if (needsEvidence(mapping)) await gather(table, evidence);
  const answer = settle(withChoices(mapping, file), evidence);
  if (answer.ok) {
    const lacks = lacking === "" ? null : `lacks ${lacking}, which the mapping would read; left empty`;
    const settled = { mapping: answer.mapping, rowOrder: answer.rowOrder };
    const notes = together(note, table.note, lacks, ...answer.notes);
    return { kind: mapping.kind, table, way: { settled }, mappingVersionKey: versionKey, note: notes };
  }
  const [question] = answer.questions;
  throw new FileFlaw(question?.reason ?? "can be read in more than one way; say which", {
    column: question?.columns.join(", ") ?? null,
    value: question?.sample ?? null,
  });
}

async function gather(table: Table, evidence: TableEvidence): Promise<void> {
  for await (const { records } of table.rows()) {
    for (const record of records) if (record.flaw === null) evidence.take(record.cells, record.line);
  }
}

/** The mapping with the sender's own answers where it leaves a question open. */
function withChoices(mapping: Mapping, { dates, decimal }: ReadChoices): Mapping {
  const columns = Object.entries(mapping.columns).map(([column, rule]) => {
    const { read } = rule;
    if (read.as === "moment") {
      return [column, { ...rule, read: { ...read, order: read.order ?? dates ?? null } }] as const;
    }
    if (read.as === "number") {
      return [column, { ...rule, read: { ...read, decimal: read.decimal ?? decimal ?? null } }] as const;
    }
    return [column, rule] as const;
  });
  return { ...mapping, columns: Object.fromEntries(columns) };
}

async function firstRows(table: Table): Promise<(readonly string[])[]> {
  const rows: (readonly string[])[] = [];
  for await (const { records } of table.rows()) {
    for (const record of records) if (record.flaw === null) rows.push(record.cells);
    if (rows.length >= JUDGED_ROWS) break;
  }
  return rows.slice(0, JUDGED_ROWS);
}

function lineOfHeader({ format }: Table): number {
  return Math.max(1, format.headerLine);
}

function together(...notes: readonly (string | null)[]): string | null {
  const said = notes.filter((note) => note !== null);
  return said.length === 0 ? null : said.join("; ");
}
