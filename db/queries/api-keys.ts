import { and, asc, eq, isNull, lte, or } from "drizzle-orm";
import type { Store } from "@/db/client";
import { apiKeys } from "@/db/schema/index";
import { inUnit } from "@/db/unit";

/** A key as it is stored: never its secret, only the SHA-256 of it in hex. Moments are Instants. */
export type StoredApiKey = typeof apiKeys.$inferSelect;

/** Keeps a new key; returns it with its number. */
export async function addApiKey(
  store: Store,
  key: Pick<StoredApiKey, "name" | "secretHash" | "scope" | "scopeId" | "createdAt">,
): Promise<StoredApiKey> {
  return inUnit(store, async (unit) => unit.db.insert(apiKeys).values(key).returning().get());
}

/** All keys in the order they were made, revoked ones too; empty when there are none. */
export async function listApiKeys(store: Store): Promise<StoredApiKey[]> {
  return store.db.select().from(apiKeys).orderBy(asc(apiKeys.key)).all();
}

/** The key whose secret has this hash and that is not revoked; null when there is none. */
export async function findApiKey(store: Store, { secretHash }: { secretHash: string }): Promise<StoredApiKey | null> {
  const found = store.db
    .select()
    .from(apiKeys)
    .where(and(eq(apiKeys.secretHash, secretHash), isNull(apiKeys.revokedAt)))
    .get();
  return found ?? null;
}

/** Marks a key as revoked at the Instant `at`; null when there is none of this number, else as it stands. A second time changes nothing. */
export async function revokeApiKey(
  store: Store,
  { key, at }: { key: number; at: number },
): Promise<StoredApiKey | null> {
  return inUnit(store, async (unit) => {
    const standing = and(eq(apiKeys.key, key), isNull(apiKeys.revokedAt));
    unit.db.update(apiKeys).set({ revokedAt: at }).where(standing).run();
    return unit.db.select().from(apiKeys).where(eq(apiKeys.key, key)).get() ?? null;
  });
}

/** Notes inside a unit that a key was used at the Instant `at`, when that was last noted `stepMs` ago or longer. */
export async function noteKeyUse(
  unit: Store,
  { key, at, stepMs }: { key: number; at: number; stepMs: number },
): Promise<void> {
  const due = or(isNull(apiKeys.lastUsedAt), lte(apiKeys.lastUsedAt, at - stepMs));
  unit.db
    .update(apiKeys)
    .set({ lastUsedAt: at })
    .where(and(eq(apiKeys.key, key), due))
    .run();
}

/** Whether a key stands, asked inside a unit: false when it was revoked. */
export async function keyStands(unit: Store, key: number): Promise<boolean> {
  const standing = and(eq(apiKeys.key, key), isNull(apiKeys.revokedAt));
  return unit.db.select({ key: apiKeys.key }).from(apiKeys).where(standing).get() !== undefined;
}
