import { closeSync, existsSync, openSync, readSync, statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import Database from "better-sqlite3";
import { type BetterSQLite3Database, drizzle } from "drizzle-orm/better-sqlite3";
import { migrateStore } from "@/db/migrate";
import * as schema from "@/db/schema/index";
import { explainStoreError } from "@/db/store-error";
import { AppError, messageOf } from "@/lib/kernel/errors";

/** An open store: the query builder, the SQLite handle below it, the file it stands in, and how to close it. */
export type Store = {
  readonly db: BetterSQLite3Database<typeof schema>;
  readonly sqlite: Database.Database;
  /** Absolute path, or `:memory:`. */
  readonly file: string;
  /** How its units wait for another process that writes. */
  readonly patience: Patience;
  close(): void;
};

/** How long to wait while another process writes, in milliseconds, and who is told once when the wait is not a short one. */
export type Patience = { readonly limitMs: number; readonly onWait?: () => void };

/**
 * Opens the store in `file`, creating and migrating it on first use; `:memory:` gives one that dies with its handle.
 * Units wait with the `patience` given, five seconds in silence without one.
 *
 * @throws AppError invalid_input when the folder is missing, the file is not a store, or a newer version wrote it
 */
export function openStore(file: string, { patience = shortPatience }: { patience?: Patience } = {}): Store {
  const path = file === ":memory:" ? file : resolve(file);
  if (path !== ":memory:") refuseImpossible(path);
  const store = connect(path, { patience });
  try {
    migrateStore(store);
  } catch (thrown) {
    store.close();
    throw explainStoreError(thrown, path);
  }
  return store;
}

/** A further connection to a store that exists; for a unit of work whose changes others must not see before its end. */
export function connect(path: string, { patience = shortPatience }: { patience?: Patience } = {}): Store {
  let sqlite: Database.Database | undefined;
  try {
    sqlite = new Database(path, { timeout: BUSY_TIMEOUT_MS });
    for (const pragma of pragmas) sqlite.pragma(pragma);
  } catch (thrown) {
    sqlite?.close();
    throw explainStoreError(thrown, path);
  }
  const handle = sqlite;
  return { db: drizzle(handle, { schema }), sqlite: handle, file: path, patience, close: () => void handle.close() };
}

/** How long a writer waits for another process that writes, unless it was opened with more patience. */
export const BUSY_TIMEOUT_MS = 5_000;

const shortPatience: Patience = { limitMs: BUSY_TIMEOUT_MS };

const pragmas = ["journal_mode = WAL", "synchronous = FULL", `busy_timeout = ${BUSY_TIMEOUT_MS}`, "foreign_keys = ON"];

const SQLITE_MAGIC = "SQLite format 3\u0000";

function refuseImpossible(path: string): void {
  const folder = dirname(path);
  if (!existsSync(folder)) {
    throw new AppError("invalid_input", `the folder ${folder} does not exist; create it or name another store file`);
  }
  if (!existsSync(path)) return;
  if (statSync(path).isDirectory()) {
    throw new AppError("invalid_input", `${path} is a folder; name a file for the store, such as rafterline.sqlite`);
  }
  const start = readStart(path);
  if (start.length > 0 && start !== SQLITE_MAGIC) throw notAStore(path);
}

function readStart(path: string): string {
  try {
    const start = Buffer.alloc(SQLITE_MAGIC.length);
    const handle = openSync(path, "r");
    const length = readSync(handle, start, 0, start.length, 0);
    closeSync(handle);
    return start.toString("latin1", 0, length);
  } catch (thrown) {
    throw new AppError("invalid_input", `${path} cannot be read: ${messageOf(thrown)}`);
  }
}

function notAStore(path: string): AppError {
  return new AppError("invalid_input", `${path} is not a Rafterline store; name another file, or move this one away`);
}
