import { listImports as listStoredImports } from "@/db/queries/imports";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { type ImportView, importViewOf } from "@/lib/services/show-import";

/** Imports, latest first, taken-back ones too; `total` counts them all. */
export async function listImports(
  context: Context,
  { limit = 50, offset = 0 }: { limit?: number; offset?: number } = {},
): Promise<{ total: number; imports: readonly ImportView[] }> {
  requirePermission(context, "see");
  const { total, rows } = await listStoredImports(context.store, { limit, offset });
  return { total, imports: await Promise.all(rows.map((row) => importViewOf(context.store, row))) };
}
