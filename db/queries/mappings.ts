import { and, asc, desc, eq, isNull, max, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { importFiles, mappings, mappingVersions } from "@/db/schema/index";
import type { StoredDocument } from "@/db/schema/mappings";

/** One version of a saved mapping; `savedAt` an Instant, `document` as it was saved. */
export type StoredMapping = {
  readonly versionKey: number;
  readonly name: string;
  readonly version: number;
  readonly savedAt: number;
  readonly document: StoredDocument;
};

/** A saved mapping as it is listed: its versions, oldest first, and how many files each has read. */
export type ListedMapping = {
  readonly name: string;
  readonly retiredAt: number | null;
  readonly versions: readonly { readonly version: number; readonly savedAt: number; readonly files: number }[];
};

const columns = {
  versionKey: mappingVersions.key,
  name: mappings.name,
  version: mappingVersions.version,
  savedAt: mappingVersions.savedAt,
  document: mappingVersions.document,
};

/** Saves a document as the next version of a mapping of this name; one that was retired is offered again. */
export async function addMappingVersion(
  unit: Store,
  { name, savedAt, madeFor, document }: { name: string; savedAt: number; madeFor: string; document: StoredDocument },
): Promise<number> {
  const { key: mappingKey } = unit.db
    .insert(mappings)
    .values({ name, createdAt: savedAt })
    .onConflictDoUpdate({ target: mappings.name, set: { retiredAt: null } })
    .returning({ key: mappings.key })
    .get();
  const last = unit.db
    .select({ version: max(mappingVersions.version) })
    .from(mappingVersions)
    .where(eq(mappingVersions.mappingKey, mappingKey))
    .get();
  const version = (last?.version ?? 0) + 1;
  unit.db.insert(mappingVersions).values({ mappingKey, version, savedAt, madeFor, document }).run();
  return version;
}

/** A version of the mapping of a name, the latest when none is named; null when there is none. */
export async function findMapping(
  store: Store,
  { name, version }: { name: string; version?: number | undefined },
): Promise<StoredMapping | null> {
  const wanted = version === undefined ? undefined : eq(mappingVersions.version, version);
  const found = store.db
    .select(columns)
    .from(mappingVersions)
    .innerJoin(mappings, eq(mappings.key, mappingVersions.mappingKey))
    .where(and(eq(mappings.name, name), wanted))
    .orderBy(desc(mappingVersions.version))
    .limit(1)
    .get();
  return found ?? null;
}

/** The latest versions of mappings, not retired, that were made for files with just these columns. */
export async function listMappingsFor(store: Store, { madeFor }: { madeFor: string }): Promise<StoredMapping[]> {
  const latest = store.db
    .select({ mappingKey: mappingVersions.mappingKey, version: max(mappingVersions.version).as("latest") })
    .from(mappingVersions)
    .groupBy(mappingVersions.mappingKey)
    .as("latest_versions");
  return store.db
    .select(columns)
    .from(mappingVersions)
    .innerJoin(mappings, eq(mappings.key, mappingVersions.mappingKey))
    .innerJoin(
      latest,
      and(eq(latest.mappingKey, mappingVersions.mappingKey), eq(latest.version, mappingVersions.version)),
    )
    .where(and(eq(mappingVersions.madeFor, madeFor), isNull(mappings.retiredAt)))
    .orderBy(asc(mappings.name))
    .all();
}

/** All saved mappings by name, retired ones too. */
export async function listMappings(store: Store): Promise<ListedMapping[]> {
  const rows = store.db
    .select({
      name: mappings.name,
      retiredAt: mappings.retiredAt,
      version: mappingVersions.version,
      savedAt: mappingVersions.savedAt,
      files: sql<number>`count(${importFiles.key})`.mapWith(Number),
    })
    .from(mappings)
    .innerJoin(mappingVersions, eq(mappingVersions.mappingKey, mappings.key))
    .leftJoin(importFiles, eq(importFiles.mappingVersionKey, mappingVersions.key))
    .groupBy(mappingVersions.key)
    .orderBy(asc(mappings.name), asc(mappingVersions.version))
    .all();
  const byName = new Map<
    string,
    { name: string; retiredAt: number | null; versions: ListedMapping["versions"][number][] }
  >();
  for (const { name, retiredAt, version, savedAt, files } of rows) {
    const one = byName.get(name) ?? { name, retiredAt, versions: [] };
    one.versions.push({ version, savedAt, files });
    byName.set(name, one);
  }
  return [...byName.values()];
}

/** The name and number of a version by its key; null when there is none. */
export async function nameOfMapping(
  store: Store,
  versionKey: number,
): Promise<{ name: string; version: number } | null> {
  const found = store.db
    .select({ name: mappings.name, version: mappingVersions.version })
    .from(mappingVersions)
    .innerJoin(mappings, eq(mappings.key, mappingVersions.mappingKey))
    .where(eq(mappingVersions.key, versionKey))
    .get();
  return found ?? null;
}

/** Marks a mapping as not offered any more from an Instant on; false when there is none of this name. */
export async function retireMapping(
  unit: Store,
  { name, retiredAt }: { name: string; retiredAt: number },
): Promise<boolean> {
  return unit.db.update(mappings).set({ retiredAt }).where(eq(mappings.name, name)).run().changes > 0;
}
