import { type Mapping, mappingSchema } from "@/lib/import/mapping/mapping";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { saveMapping } from "@/lib/services/mappings";
import { requirePermission } from "@/lib/services/permissions";
import { issueWords, type MappingName } from "@/lib/services/staged-reading";

/**
 * A draft as a whole mapping, saved when a name is given: its first version, or the next one.
 *
 * @throws AppError invalid_input with what the draft lacks
 */
export async function settleMapping(
  context: Context,
  { draft, name }: { draft: unknown; name: string | null },
): Promise<{ draft: Mapping; saved: MappingName | null }> {
  requirePermission(context, "import");
  const parsed = mappingSchema.safeParse(draft);
  if (!parsed.success) throw new AppError("invalid_input", parsed.error.issues.map(issueWords).join("; "));
  const saved = name === null ? null : await saveMapping(context, { name, mapping: parsed.data });
  return { draft: parsed.data, saved };
}
