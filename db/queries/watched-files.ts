import { eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import { watchedFiles } from "@/db/schema/index";

/** A file of a watched folder as it stood when its import was stored; `changedAt` an Instant. */
export type WatchedFileNote = typeof watchedFiles.$inferSelect;

/** Notes a file whose import is being stored; a note of an earlier file of the same path gives way. */
export async function noteWatchedFile(unit: Store, note: WatchedFileNote): Promise<void> {
  const { path, ...set } = note;
  unit.db.insert(watchedFiles).values(note).onConflictDoUpdate({ target: watchedFiles.path, set }).run();
}

/** The note of the file at a path; null when there is none. */
export async function findWatchedFile(store: Store, path: string): Promise<WatchedFileNote | null> {
  return store.db.select().from(watchedFiles).where(eq(watchedFiles.path, path)).get() ?? null;
}

/** Forgets the file at a path, once it is moved away. */
export async function forgetWatchedFile(unit: Store, path: string): Promise<void> {
  unit.db.delete(watchedFiles).where(eq(watchedFiles.path, path)).run();
}
