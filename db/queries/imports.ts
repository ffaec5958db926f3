import { and, asc, count, desc, eq, inArray, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { importConflicts, importFiles, importRejects, imports, unmappedWords, waitingRows } from "@/db/schema/index";
import { unpackRows, type WaitingRow } from "@/db/waiting-codec";

/** An import as it is listed; `takenBackAt` is null while it stands. */
export type StoredImport = typeof imports.$inferSelect;
/** A file of an import with what became of its rows; rows = accepted + duplicates + conflicts + refused + waiting + left out. */
export type StoredImportFile = typeof importFiles.$inferSelect;
/** A refused row with its cells as they came. */
export type StoredReject = typeof importRejects.$inferSelect;
/** A row whose key was stored with other values. */
export type StoredConflict = typeof importConflicts.$inferSelect;

/** A page of a list. */
export type Page = { readonly limit: number; readonly offset: number };

/** Imports with their files, latest first, taken-back ones too; `total` counts them all. */
export async function listImports(
  store: Store,
  { limit = 50, offset = 0 }: Partial<Page> = {},
): Promise<{ total: number; rows: (StoredImport & { files: StoredImportFile[] })[] }> {
  const rows = store.db.select().from(imports).orderBy(desc(imports.id)).limit(limit).offset(offset).all();
  const files = filesOf(
    store,
    rows.map((one) => one.id),
  );
  const total = store.db.select({ total: count() }).from(imports).get()?.total ?? 0;
  return { total, rows: rows.map((one) => ({ ...one, files: files.filter((file) => file.importId === one.id) })) };
}

/** One import with its files in the order they were given; null when there is none of this id. */
export async function findImport(
  store: Store,
  importId: number,
): Promise<(StoredImport & { files: StoredImportFile[] }) | null> {
  const found = store.db.select().from(imports).where(eq(imports.id, importId)).get();
  return found ? { ...found, files: filesOf(store, [importId]) } : null;
}

/** A page of the refused rows of a file, by line; rows that wait are not among them, those left out when asked for. */
export async function listRejects(
  store: Store,
  { fileKey, limit, offset, leftOut }: { fileKey: number; leftOut?: boolean } & Page,
): Promise<StoredReject[]> {
  const wanted = leftOut === undefined ? undefined : eq(importRejects.leftOut, leftOut);
  return store.db
    .select()
    .from(importRejects)
    .where(and(eq(importRejects.fileKey, fileKey), wanted))
    .orderBy(asc(importRejects.line), asc(importRejects.key))
    .limit(limit)
    .offset(offset)
    .all();
}

/** A page of the conflicts of a file, by line. */
export async function listConflicts(
  store: Store,
  { fileKey, limit, offset }: { fileKey: number } & Page,
): Promise<StoredConflict[]> {
  return store.db
    .select()
    .from(importConflicts)
    .where(eq(importConflicts.fileKey, fileKey))
    .orderBy(asc(importConflicts.line), asc(importConflicts.key))
    .limit(limit)
    .offset(offset)
    .all();
}

/** What the rows of a file wait for, most rows first: the missing ids, how many rows each holds up, the first line. */
export async function listWaiting(store: Store, { fileKey, limit, offset }: { fileKey: number } & Page) {
  return store.db
    .select({
      waitsFor: waitingRows.waitsFor,
      waitsForId: waitingRows.waitsForId,
      rows: sql<number>`sum(${waitingRows.count})`.mapWith(Number),
      firstLine: sql<number>`min(${waitingRows.firstLine})`.mapWith(Number),
    })
    .from(waitingRows)
    .where(eq(waitingRows.fileKey, fileKey))
    .groupBy(waitingRows.waitsFor, waitingRows.waitsForId)
    .orderBy(desc(sql`sum(${waitingRows.count})`), asc(waitingRows.waitsForId))
    .limit(limit)
    .offset(offset)
    .all();
}

/** The waiting rows of a file in portions, each with what it waits for; memory holds one portion at a time. */
export async function* eachWaiting(
  store: Store,
  { fileKey }: { fileKey: number },
): AsyncGenerator<{ waitsFor: "site" | "detector"; waitsForId: string; rows: WaitingRow[] }> {
  const keys = store.db
    .select({ key: waitingRows.key })
    .from(waitingRows)
    .where(eq(waitingRows.fileKey, fileKey))
    .orderBy(asc(waitingRows.firstLine))
    .all();
  for (const { key } of keys) {
    const portion = store.db.select().from(waitingRows).where(eq(waitingRows.key, key)).get();
    if (portion) {
      yield { waitsFor: portion.waitsFor, waitsForId: portion.waitsForId, rows: unpackRows(portion.rows) };
    }
  }
}

/** Words of a file that its mapping does not know, most frequent first. */
export async function listUnmappedWords(
  store: Store,
  { fileKey, limit, offset }: { fileKey: number } & Page,
): Promise<{ column: string; word: string; count: number }[]> {
  return store.db
    .select({ column: unmappedWords.column, word: unmappedWords.word, count: unmappedWords.count })
    .from(unmappedWords)
    .where(eq(unmappedWords.fileKey, fileKey))
    .orderBy(desc(unmappedWords.count), asc(unmappedWords.column), asc(unmappedWords.word))
    .limit(limit)
    .offset(offset)
    .all();
}

function filesOf(store: Store, importIds: readonly number[]): StoredImportFile[] {
  return store.db
    .select()
    .from(importFiles)
    .where(inArray(importFiles.importId, [...importIds]))
    .orderBy(asc(importFiles.importId), asc(importFiles.position))
    .all();
}
