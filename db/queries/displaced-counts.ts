import { and, asc, eq, max } from "drizzle-orm";
import type { Store } from "@/db/client";
import { addImportFile, changeCounts } from "@/db/queries/import-writes";
import { importFiles } from "@/db/schema/index";
import { columnsOf, type FileKind } from "@/lib/records/files";

/**
 * Adds to an import the entry under which rows of it wait again: an entry of its own, since which of its files a stored
 * row came from is not kept. Its columns are all those of the kind. Returns its key.
 */
export async function addWaitingEntry(
  unit: Store,
  { importId, kind, name, note }: { importId: number; kind: FileKind; name: string; note: string },
): Promise<number> {
  const last = unit.db
    .select({ position: max(importFiles.position) })
    .from(importFiles)
    .where(eq(importFiles.importId, importId))
    .get();
  const header = columnsOf(kind);
  const position = (last?.position ?? -1) + 1;
  return addImportFile(unit, { importId, position, name, kind, fold: "refuse", header, note });
}

/**
 * Moves `count` rows from the counts of an import's files of one kind to its entry of waiting rows, so that the import
 * counts each row once: accepted ones first, then duplicates, then conflicts, file by file.
 *
 * @throws RangeError when the files do not count as many rows
 */
export async function moveToWaiting(
  unit: Store,
  { importId, kind, entryKey, count }: { importId: number; kind: FileKind; entryKey: number; count: number },
): Promise<void> {
  const files = unit.db
    .select()
    .from(importFiles)
    .where(and(eq(importFiles.importId, importId), eq(importFiles.kind, kind)))
    .orderBy(asc(importFiles.position))
    .all();
  let left = count;
  const none = {
    rows: 0,
    accepted: 0,
    replaced: 0,
    duplicates: 0,
    conflicts: 0,
    refused: 0,
    waiting: 0,
    leftOut: 0,
  };
  for (const outcome of ["accepted", "duplicates", "conflicts"] as const) {
    for (const file of files) {
      const moved = Math.min(left, file[outcome]);
      if (moved === 0) continue;
      left -= moved;
      // A replaced row is one of the accepted; there cannot be more of them.
      const replaced = outcome === "accepted" ? Math.min(0, file.accepted - moved - file.replaced) : 0;
      await changeCounts(unit, file.key, { ...none, rows: -moved, [outcome]: -moved, replaced });
    }
  }
  if (left > 0) throw new RangeError(`import ${importId} counts ${left} ${kind} fewer than wait again`);
  await changeCounts(unit, entryKey, { ...none, rows: count, waiting: count });
}
