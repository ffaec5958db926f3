import { type FileOfMapping, listFilesOfMapping } from "@/db/queries/mapping-files";
import type { ListedMapping } from "@/db/queries/mappings";
import type { Mapping } from "@/lib/import/mapping/mapping";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { listMappings, showMapping } from "@/lib/services/mappings";
import { requirePermission } from "@/lib/services/permissions";

/** A version of a saved mapping as its page shows it. */
export type MappingView = ListedMapping & {
  readonly version: number;
  readonly savedAt: number;
  readonly mapping: Mapping;
  /** Files read by any of its versions, latest first. */
  readonly readFiles: readonly FileOfMapping[];
};

/**
 * A saved mapping with its versions and the files it read; the latest version when none is named.
 *
 * @throws AppError not_found when there is none of this name and version
 */
export async function showMappingPage(
  context: Context,
  { name, version, limit = 20 }: { name: string; version?: number | undefined; limit?: number },
): Promise<MappingView> {
  requirePermission(context, "see");
  const { mapping, ...shown } = await showMapping(context, { name, version });
  const listed = (await listMappings(context)).find((one) => one.name === name);
  if (!listed) throw new AppError("not_found", `there is no mapping '${name}'`);
  const readFiles = await listFilesOfMapping(context.store, { name, limit, offset: 0 });
  return { ...listed, version: shown.version, savedAt: shown.savedAt, mapping, readFiles };
}
