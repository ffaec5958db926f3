import { openStore, type Store } from "@/db/client";
import { explainStoreError } from "@/db/store-error";
import { type Permission, permissions } from "@/lib/services/permissions";

/** What every verb is given: the store, the moment it is called at, and what the caller may do. */
export type Context = {
  readonly store: Store;
  /** Instant of the call; the shell alone reads the clock. */
  readonly now: number;
  readonly permissions: ReadonlySet<Permission>;
};

/** Opens (creates and migrates on first use) the store in `file` and gives its owner every right. */
export function openContext(file: string, { now }: { now: number }): Context {
  return { store: openStore(file), now, permissions: new Set(permissions) };
}

/** What a user should read of a failure in a verb: one of the store as AppError with what to do, any other as it is. */
export function explainFailure(thrown: unknown, { store }: Context): unknown {
  return explainStoreError(thrown, store.file);
}
