import type { Store } from "@/db/client";
import {
  eachWaiting,
  findImport,
  listConflicts,
  listRejects,
  listUnmappedWords,
  listWaiting,
  type StoredConflict,
  type StoredImport,
  type StoredImportFile,
} from "@/db/queries/imports";
import { nameOfMapping } from "@/db/queries/mappings";
import { type TableFormat, tableFormatSchema } from "@/lib/import/table/table-format";
import { AppError } from "@/lib/kernel/errors";
import type { Refusal } from "@/lib/records/outcome";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";

/** A refused row as it is shown; `line` is null for a file that could not be opened. */
export type RefusedRow = Pick<Refusal, "column" | "value" | "reason"> & { readonly line: number | null };

/** A file of an import as it is shown; rows = accepted + duplicates + conflicts + refused + waiting + left out. */
export type ImportFileView = Omit<
  StoredImportFile,
  "key" | "importId" | "header" | "format" | "mapping" | "mappingVersionKey"
> & {
  /** How it was cut into cells; null for one that could not be read. */
  readonly format: TableFormat | null;
  /** The saved mapping that read it; null when none did. */
  readonly mapping: { readonly name: string; readonly version: number } | null;
  readonly fileKey: number;
  /** Why the file could not be read at all; null when it could. */
  readonly failure: RefusedRow | null;
};

/** An import as it is shown; instants in ms UTC. */
export type ImportView = Pick<StoredImport, "id" | "importedAt" | "replaces" | "takenBackAt"> & {
  readonly files: readonly ImportFileView[];
};

/** A page of what did not go in of one file. */
export type ImportFileDetail = {
  /** Rows refused, without those left out as the mapping says. */
  readonly rejects: readonly RefusedRow[];
  /** Words the mapping does not know, most frequent first. */
  readonly unmapped: readonly { readonly column: string; readonly word: string; readonly count: number }[];
  readonly differing: readonly Pick<StoredConflict, "line" | "identity" | "stored" | "sent" | "replaced">[];
  /** What rows wait for: the missing id, how many rows, the first line. */
  readonly waits: readonly {
    readonly waitsFor: string;
    readonly waitsForId: string;
    readonly rows: number;
    readonly firstLine: number;
  }[];
};

/**
 * One import, with a page of the refused rows, conflicts and waits of each of its files.
 *
 * @throws AppError not_found when there is no import of this id
 */
export async function showImport(
  context: Context,
  { importId, limit = 100, offset = 0 }: { importId: number; limit?: number; offset?: number },
): Promise<Omit<ImportView, "files"> & { files: readonly (ImportFileView & ImportFileDetail)[] }> {
  requirePermission(context, "see");
  const view = await importViewOf(context.store, await importOf(context, importId));
  const files = await Promise.all(
    view.files.map(async (file) => {
      const page = { fileKey: file.fileKey, limit, offset };
      const rejects = file.kind === null ? [] : await listRejects(context.store, { ...page, leftOut: false });
      const conflicts = await listConflicts(context.store, page);
      return {
        ...file,
        rejects: rejects.map(({ line, column, value, reason }) => ({ line, column, value, reason })),
        differing: conflicts.map(({ line, identity, stored, sent, replaced }) => {
          return { line, identity, stored, sent, replaced };
        }),
        waits: await listWaiting(context.store, page),
        unmapped: await listUnmappedWords(context.store, page),
      };
    }),
  );
  return { ...view, files };
}

/** Every row of a file that did not go in, refused or waiting, with its cells; refused ones first, each by line. */
export async function* eachRefusedRow(
  context: Context,
  { fileKey }: { fileKey: number },
): AsyncGenerator<RefusedRow & { readonly cells: readonly string[] }> {
  requirePermission(context, "see");
  const limit = 1_000;
  for (let offset = 0; ; offset += limit) {
    const page = await listRejects(context.store, { fileKey, limit, offset });
    for (const { line, column, value, reason, cells } of page) yield { line, column, value, reason, cells };
    if (page.length < limit) break;
  }
  for await (const { waitsFor, waitsForId, rows } of eachWaiting(context.store, { fileKey })) {
    const reason = `is not a known ${waitsFor}; the row waits: import the ${waitsFor}s file that has it, or correct the id`;
    for (const { line, cells } of rows) yield { line, column: `${waitsFor}_id`, value: waitsForId, reason, cells };
  }
}

/** A stored import as it is shown. */
export async function importViewOf(
  store: Store,
  stored: StoredImport & { files: readonly StoredImportFile[] },
): Promise<ImportView> {
  const files = await Promise.all(
    stored.files.map(async ({ key, importId: _import, header: _header, mapping: _settled, ...stored }) => {
      const { mappingVersionKey, format, ...file } = stored;
      const [flaw] = file.kind === null ? await listRejects(store, { fileKey: key, limit: 1, offset: 0 }) : [];
      const failure = flaw && { line: flaw.line, column: flaw.column, value: flaw.value, reason: flaw.reason };
      const mapping = mappingVersionKey === null ? null : await nameOfMapping(store, mappingVersionKey);
      const read = { format: format === null ? null : tableFormatSchema.parse(format), mapping };
      return { ...file, ...read, fileKey: key, failure: failure ?? null };
    }),
  );
  const { id, importedAt, replaces, takenBackAt } = stored;
  return { id, importedAt, replaces, takenBackAt, files };
}

async function importOf(context: Context, importId: number) {
  const found = await findImport(context.store, importId);
  if (!found)
    throw new AppError("not_found", `there is no import ${importId}; the list of imports shows their numbers`);
  return found;
}
