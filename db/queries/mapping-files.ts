import { desc, eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import type { Page } from "@/db/queries/imports";
import { importFiles, imports, mappings, mappingVersions } from "@/db/schema/index";

/** A file that a saved mapping read: in which import, when (an Instant), and by which version. */
export type FileOfMapping = {
  readonly importId: number;
  readonly importedAt: number;
  readonly name: string;
  readonly version: number;
  readonly rows: number;
};

/** Files read by any version of the mapping of a name, latest first; empty when there are none. */
export async function listFilesOfMapping(
  store: Store,
  { name, limit, offset }: { name: string } & Page,
): Promise<FileOfMapping[]> {
  return store.db
    .select({
      importId: importFiles.importId,
      importedAt: imports.importedAt,
      name: importFiles.name,
      version: mappingVersions.version,
      rows: importFiles.rows,
    })
    .from(importFiles)
    .innerJoin(imports, eq(imports.id, importFiles.importId))
    .innerJoin(mappingVersions, eq(mappingVersions.key, importFiles.mappingVersionKey))
    .innerJoin(mappings, eq(mappings.key, mappingVersions.mappingKey))
    .where(eq(mappings.name, name))
    .orderBy(desc(importFiles.key))
    .limit(limit)
    .offset(offset)
    .all();
}
