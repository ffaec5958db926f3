import { raiseDataVersion } from "@/db/queries/data-version";
import { markTakenBack } from "@/db/queries/import-writes";
import { findImport } from "@/db/queries/imports";
import { withdrawImport } from "@/db/take-back";
import { inUnit } from "@/db/unit";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { type ImportView, importViewOf } from "@/lib/services/show-import";

/**
 * Takes back an import whole: the store is as it would be without it, and the import stays in the list, marked.
 *
 * Rows another import sent too stay, and values it replaced come back. Rows once judged are not judged anew: a reading
 * taken in because of an installation day that this import changed stays.
 *
 * @throws AppError not_found for an unknown import; conflict when it was taken back before, or when rows of other imports
 *   need a site or detector that it alone brought
 */
export async function takeBackImport(context: Context, { importId }: { importId: number }): Promise<ImportView> {
  requirePermission(context, "take_back");
  return inUnit(context.store, async (unit) => {
    const stored = await findImport(unit, importId);
    if (!stored)
      throw new AppError("not_found", `there is no import ${importId}; list the imports to see their numbers`);
    if (stored.takenBackAt !== null) throw new AppError("conflict", `import ${importId} was taken back before`);
    const { neededBy } = await withdrawImport(unit, importId);
    if (neededBy.length > 0) throw new AppError("conflict", stillNeeded(importId, neededBy));
    await markTakenBack(unit, { importId, takenBackAt: context.now });
    await raiseDataVersion(unit);
    return importViewOf(unit, { ...stored, takenBackAt: context.now });
  });
}

function stillNeeded(importId: number, neededBy: readonly number[]): string {
  const others = neededBy.length === 1 ? `import ${neededBy[0]}` : `imports ${neededBy.join(", ")}`;
  return (
    `import ${importId} brought sites or detectors that rows of ${others} belong to; ` +
    `take back ${others} first, or import the sites and detectors anew and try again`
  );
}
