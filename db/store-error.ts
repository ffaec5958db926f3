import Database from "better-sqlite3";
import { AppError } from "@/lib/kernel/errors";

/** A failure of the store itself, not of what was asked; `busy` when only another writer is in the way. */
export class StoreFailure extends AppError {
  readonly busy: boolean;

  constructor(message: string, { busy }: { busy: boolean }) {
    super(busy ? "conflict" : "invalid_input", message);
    this.name = "StoreFailure";
    this.busy = busy;
  }
}

/** What a user should read of a failure of the store in `path`: a StoreFailure with what to do; any other thrown value as it is. */
export function explainStoreError(thrown: unknown, path: string): unknown {
  if (!(thrown instanceof Database.SqliteError)) return thrown;
  const found = explanations.find(([code]) => thrown.code.startsWith(code));
  if (!found) return thrown;
  const [code, words] = found;
  return new StoreFailure(`${path} ${words}`, { busy: code === "SQLITE_BUSY" });
}

/** Whether SQLite refused only because another connection is writing. */
export function isBusy(thrown: unknown): boolean {
  return thrown instanceof Database.SqliteError && thrown.code.startsWith("SQLITE_BUSY");
}

const explanations = [
  ["SQLITE_BUSY", "is being written by another command; try again when it has ended"],
  ["SQLITE_NOTADB", "is not a Rafterline store; name another file, or move this one away"],
  ["SQLITE_CORRUPT", "is damaged; put a copy of it in its place, or import the files into a new store"],
  ["SQLITE_CANTOPEN", "cannot be opened for writing; check the rights of file and folder"],
  ["SQLITE_READONLY", "cannot be written; check the rights of file and folder"],
  ["SQLITE_FULL", "cannot grow, the disk is full; nothing was changed; free space and try again"],
  ["SQLITE_IOERR", "cannot be read or written, the disk is full or fails; nothing was changed; check it and try again"],
] as const;
