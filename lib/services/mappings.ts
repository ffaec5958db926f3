import type { Store } from "@/db/client";
import {
  addMappingVersion,
  findMapping,
  type ListedMapping,
  listMappingsFor,
  listMappings as listStored,
  retireMapping as retireStored,
  type StoredMapping,
} from "@/db/queries/mappings";
import { inUnit } from "@/db/unit";
import { type Mapping, mappingSchema } from "@/lib/import/mapping/mapping";
import { sameName } from "@/lib/import/table/column-names";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";

/** A mapping with the name and version it is saved under, and the key files refer to it by. */
export type SavedMapping = {
  readonly name: string;
  readonly version: number;
  readonly versionKey: number;
  readonly savedAt: number;
  readonly mapping: Mapping;
};

const nameLimit = 100;

/**
 * Saves a mapping under a name: the first version, or the next one when the name exists; the same document again as the
 * latest makes no new version.
 *
 * @throws AppError invalid_input for an empty or overlong name
 */
export async function saveMapping(
  context: Context,
  { name, mapping }: { name: string; mapping: Mapping },
): Promise<{ name: string; version: number }> {
  requirePermission(context, "import");
  const clean = name.trim().replace(/\s+/g, " ");
  if (clean === "" || clean.length > nameLimit || /[@/\\]/.test(clean)) {
    throw new AppError("invalid_input", `a mapping needs a name of 1 to ${nameLimit} characters without @, / and \\`);
  }
  return inUnit(context.store, async (unit) => {
    const latest = await findMapping(unit, { name: clean });
    if (latest && JSON.stringify(latest.document) === JSON.stringify(mapping)) {
      return { name: clean, version: latest.version };
    }
    const madeFor = signatureOf(mapping.madeFor);
    const version = await addMappingVersion(unit, { name: clean, savedAt: context.now, madeFor, document: mapping });
    return { name: clean, version };
  });
}

/** All saved mappings by name with their versions and how many files each has read; retired ones are marked. */
export async function listMappings(context: Context): Promise<ListedMapping[]> {
  requirePermission(context, "see");
  return listStored(context.store);
}

/** A saved mapping by `name` and version, the latest when none is given; throws AppError not_found. */
export async function showMapping(
  context: Context,
  { name, version }: { name: string; version?: number | undefined },
): Promise<SavedMapping> {
  requirePermission(context, "see");
  const found = await findMapping(context.store, { name, version });
  if (!found) {
    const which = version === undefined ? name : `${name}@${version}`;
    throw new AppError("not_found", `there is no mapping '${which}'; the list of mappings shows their names`);
  }
  return savedOf(found);
}

/** What NAME or NAME@VERSION names, as people write it; no version stands for the latest. */
export function mappingNameOf(text: string): { name: string; version: number | undefined } {
  const [, name = text, version] = /^(.*)@(\d{1,9})$/.exec(text) ?? [];
  return { name, version: version === undefined ? undefined : Number(version) };
}

/** The saved mappings that were made for files with just these columns, by name; retired ones are not among them. */
export async function savedMappingsFor(
  store: Store,
  { columns }: { columns: readonly string[] },
): Promise<SavedMapping[]> {
  if (columns.length === 0) return [];
  return (await listMappingsFor(store, { madeFor: signatureOf(columns) })).map(savedOf);
}

/** Takes a mapping off the offer; files read with it keep it. Throws AppError not_found. */
export async function retireMapping(context: Context, { name }: { name: string }): Promise<void> {
  requirePermission(context, "import");
  const done = await inUnit(context.store, (unit) => retireStored(unit, { name, retiredAt: context.now }));
  if (!done) throw new AppError("not_found", `there is no mapping '${name}'; the list of mappings shows their names`);
}

/** A mapping as it stands in a document named `name`; throws AppError invalid_input with each thing that is wrong in it. */
export function readMapping(document: unknown, { name }: { name: string }): Mapping {
  const parsed = mappingSchema.safeParse(document);
  if (parsed.success) return parsed.data;
  const wrong = parsed.error.issues
    .slice(0, 10)
    .map(({ path, message }) => `${path.map(String).join(".")}: ${message}`);
  throw new AppError("invalid_input", `${name} is no mapping: ${wrong.join("; ")}`);
}

/** Names of columns in one text that does not depend on their order or capitals; empty for no columns. */
function signatureOf(columns: readonly string[]): string {
  return columns.length === 0 ? "" : JSON.stringify(columns.map(sameName).toSorted());
}

function savedOf({ name, version, versionKey, savedAt, document }: StoredMapping): SavedMapping {
  return { name, version, versionKey, savedAt, mapping: mappingSchema.parse(document) };
}
