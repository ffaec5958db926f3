import { openStore, type Patience, type Store } from "@/db/client";
import { explainStoreError } from "@/db/store-error";
import { type Permission, permissions } from "@/lib/services/permissions";

/** What every verb is given: the store, the moment it is called at, and what the caller may do. */
export type Context = {
  readonly store: Store;
  /** Instant of the call; the shell alone reads the clock. */
  readonly now: number;
  readonly permissions: ReadonlySet<Permission>;
};

/**
 * Opens (creates and migrates on first use) the store in `file` and gives its owner every right; `patience` says how long
 * a verb that writes waits for another process that does, five seconds without it.
 */
export function openContext(file: string, { now, patience }: { now: number; patience?: Patience }): Context {
  const store = openStore(file, patience === undefined ? {} : { patience });
  return { store, now, permissions: new Set(permissions) };
}

/** What a user should read of a failure in a verb: one of the store as AppError with what to do, any other as it is. */
export function explainFailure(thrown: unknown, { store }: Context): unknown {
  return explainStoreError(thrown, store.file);
}
