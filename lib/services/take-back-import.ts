import { raiseDataVersion } from "@/db/queries/data-version";
import { markTakenBack } from "@/db/queries/import-writes";
import { findImport } from "@/db/queries/imports";
import { withdrawImport } from "@/db/take-back";
import { inUnit } from "@/db/unit";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { type WaitingAgain, WaitingAgainKeeper } from "@/lib/services/import/waiting-again";
import { requirePermission } from "@/lib/services/permissions";
import { type ImportView, importViewOf } from "@/lib/services/show-import";

/** An import that was taken back, and rows of others that wait again for a site or detector which it alone had brought. */
export type TakenBack = ImportView & { readonly waitingAgain: readonly WaitingAgain[] };

/**
 * Takes back an import whole: the store is as it would be without it, and the import stays in the list, marked.
 *
 * Rows another import sent too stay, and values it replaced come back. Rows of other imports whose site or detector it
 * alone brought wait again until that is sent anew. Rows once judged are not judged anew: a reading taken in, refused or
 * placed in time because of an installation day or time zone that this import changed stays as it was judged.
 *
 * @throws AppError not_found for an unknown import; conflict when it was taken back before
 */
export async function takeBackImport(context: Context, { importId }: { importId: number }): Promise<TakenBack> {
  requirePermission(context, "take_back");
  return inUnit(context.store, async (unit) => {
    const stored = await findImport(unit, importId);
    if (!stored)
      throw new AppError("not_found", `there is no import ${importId}; list the imports to see their numbers`);
    if (stored.takenBackAt !== null) throw new AppError("conflict", `import ${importId} was taken back before`);
    const keeper = new WaitingAgainKeeper(unit, importId);
    await withdrawImport(unit, importId, { onDisplaced: (rows) => keeper.keep(rows) });
    const waitingAgain = await keeper.finish();
    await markTakenBack(unit, { importId, takenBackAt: context.now });
    await raiseDataVersion(unit);
    return { ...(await importViewOf(unit, { ...stored, takenBackAt: context.now })), waitingAgain };
  });
}
