import { and, asc, eq, inArray, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { importConflicts, importFiles, importRejects, imports, unmappedWords, waitingRows } from "@/db/schema/index";
import { packRows, unpackRows, type WaitingRow } from "@/db/waiting-codec";

/** What a file's row counts grow by (or, for rows that waited, shrink by). */
export type CountChange = {
  readonly rows: number;
  readonly accepted: number;
  readonly replaced: number;
  readonly duplicates: number;
  readonly conflicts: number;
  readonly refused: number;
  readonly waiting: number;
  readonly leftOut: number;
};

/** Notes a new import at the Instant `importedAt`; returns its id. */
export async function addImport(
  unit: Store,
  { importedAt, replaces }: { importedAt: number; replaces: boolean },
): Promise<number> {
  return unit.db.insert(imports).values({ importedAt, replaces }).returning({ id: imports.id }).get().id;
}

/** Notes a file of an import; returns its key. */
export async function addImportFile(
  unit: Store,
  file: Pick<
    typeof importFiles.$inferInsert,
    "importId" | "position" | "name" | "kind" | "fold" | "header" | "note" | "format" | "mapping" | "mappingVersionKey"
  >,
): Promise<number> {
  return unit.db.insert(importFiles).values(file).returning({ key: importFiles.key }).get().key;
}

/** Changes the counts of a file. */
export async function changeCounts(unit: Store, fileKey: number, change: CountChange): Promise<void> {
  const plus = (column: typeof importFiles.rows | typeof importFiles.accepted, by: number) => sql`${column} + ${by}`;
  unit.db
    .update(importFiles)
    .set({
      rows: plus(importFiles.rows, change.rows),
      accepted: plus(importFiles.accepted, change.accepted),
      replaced: sql`${importFiles.replaced} + ${change.replaced}`,
      duplicates: sql`${importFiles.duplicates} + ${change.duplicates}`,
      conflicts: sql`${importFiles.conflicts} + ${change.conflicts}`,
      refused: sql`${importFiles.refused} + ${change.refused}`,
      waiting: sql`${importFiles.waiting} + ${change.waiting}`,
      leftOut: sql`${importFiles.leftOut} + ${change.leftOut}`,
    })
    .where(eq(importFiles.key, fileKey))
    .run();
}

/** Marks a file as one that could not be read: it has no kind and no rows. */
export async function markUnreadable(unit: Store, fileKey: number): Promise<void> {
  unit.db.update(importFiles).set({ kind: null, note: null }).where(eq(importFiles.key, fileKey)).run();
}

const PORTION = 500;

/** Keeps refused rows. */
export async function addRejects(unit: Store, rejects: readonly (typeof importRejects.$inferInsert)[]): Promise<void> {
  for (let from = 0; from < rejects.length; from += PORTION) {
    unit.db
      .insert(importRejects)
      .values(rejects.slice(from, from + PORTION))
      .run();
  }
}

/** Counts words of a file that its mapping does not know. */
export async function addUnmappedWords(
  unit: Store,
  { fileKey, words }: { fileKey: number; words: readonly { column: string; word: string; count: number }[] },
): Promise<void> {
  for (let from = 0; from < words.length; from += PORTION) {
    unit.db
      .insert(unmappedWords)
      .values(words.slice(from, from + PORTION).map((one) => ({ fileKey, ...one })))
      .onConflictDoUpdate({
        target: [unmappedWords.fileKey, unmappedWords.column, unmappedWords.word],
        set: { count: sql`${unmappedWords.count} + excluded.count` },
      })
      .run();
  }
}

/** Keeps conflicts. */
export async function addConflicts(
  unit: Store,
  conflicts: readonly (typeof importConflicts.$inferInsert)[],
): Promise<void> {
  for (let from = 0; from < conflicts.length; from += PORTION) {
    unit.db
      .insert(importConflicts)
      .values(conflicts.slice(from, from + PORTION))
      .run();
  }
}

/** Keeps rows of a file that wait for one site or detector. */
export async function addWaiting(
  unit: Store,
  {
    fileKey,
    waitsFor,
    waitsForId,
    rows,
  }: { fileKey: number; waitsFor: "site" | "detector"; waitsForId: string; rows: readonly WaitingRow[] },
): Promise<void> {
  unit.db
    .insert(waitingRows)
    .values({
      fileKey,
      waitsFor,
      waitsForId,
      count: rows.length,
      firstLine: rows[0]?.line ?? 0,
      rows: packRows(rows),
    })
    .run();
}

/** Portions of rows that waited for one of the ids, in the order of their files and lines. */
export async function listAwaiting(
  unit: Store,
  { waitsFor, ids }: { waitsFor: "site" | "detector"; ids: ReadonlySet<string> },
): Promise<{ key: number; fileKey: number; importId: number }[]> {
  const all = unit.db
    .select({
      key: waitingRows.key,
      fileKey: waitingRows.fileKey,
      importId: importFiles.importId,
      waitsForId: waitingRows.waitsForId,
    })
    .from(waitingRows)
    .innerJoin(importFiles, eq(importFiles.key, waitingRows.fileKey))
    .where(eq(waitingRows.waitsFor, waitsFor))
    .orderBy(asc(importFiles.importId), asc(waitingRows.fileKey), asc(waitingRows.firstLine))
    .all();
  return all.filter((one) => ids.has(one.waitsForId));
}

/** Takes a portion of waiting rows out of the store; null when it is not there any more. */
export async function takeWaiting(unit: Store, key: number): Promise<WaitingRow[] | null> {
  const taken = unit.db.delete(waitingRows).where(eq(waitingRows.key, key)).returning({ rows: waitingRows.rows }).get();
  return taken ? unpackRows(taken.rows) : null;
}

/** The file of a key with the import it belongs to; null when there is none. */
export async function findImportFile(unit: Store, fileKey: number) {
  const found = unit.db
    .select({ file: importFiles, replaces: imports.replaces })
    .from(importFiles)
    .innerJoin(imports, eq(imports.id, importFiles.importId))
    .where(eq(importFiles.key, fileKey))
    .get();
  return found ?? null;
}

/** Marks an import as taken back at an Instant; its rows do not wait any more. */
export async function markTakenBack(
  unit: Store,
  { importId, takenBackAt }: { importId: number; takenBackAt: number },
): Promise<void> {
  unit.db.update(imports).set({ takenBackAt }).where(eq(imports.id, importId)).run();
  const files = unit.db
    .select({ key: importFiles.key })
    .from(importFiles)
    .where(eq(importFiles.importId, importId))
    .all()
    .map((file) => file.key);
  unit.db
    .delete(waitingRows)
    .where(and(inArray(waitingRows.fileKey, files)))
    .run();
}
