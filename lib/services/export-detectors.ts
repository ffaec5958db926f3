import { detectorsCsv } from "@/lib/report/detectors-csv";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { type DetectorsQuery, withBenefit } from "@/lib/services/show-detectors";
import { latestResult, storedDetectors } from "@/lib/services/stored-result";

// As many as are read from the store at once; memory then holds one portion of results.
const PORTION = 500;

/** All detectors the query asks for as CSV, in its order, in portions; the header alone before the first analysis. */
export async function exportDetectors(
  context: Context,
  query: Omit<DetectorsQuery, "page"> = {},
): Promise<AsyncGenerator<string>> {
  requirePermission(context, "see");
  const run = await latestResult(context.store);
  return portions(context, { query, runId: run?.id ?? null, currency: run?.currency ?? "EUR" });
}

async function* portions(
  { store }: Context,
  { query, runId, currency }: { query: Omit<DetectorsQuery, "page">; runId: number | null; currency: string },
): AsyncGenerator<string> {
  yield detectorsCsv([], { currency, header: true });
  if (runId === null) return;
  for (let offset = 0; ; offset += PORTION) {
    const { rows } = await storedDetectors(store, { ...query, runId, limit: PORTION, offset });
    if (rows.length > 0) yield detectorsCsv(rows.map(withBenefit), { currency });
    if (rows.length < PORTION) return;
  }
}
