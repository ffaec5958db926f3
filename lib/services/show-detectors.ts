import type { DetectorSort } from "@/db/queries/run-results";
import { listSites } from "@/db/queries/sites";
import type { Estimate } from "@/lib/kernel/interval";
import type { Access } from "@/lib/records/vocabulary";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { latestResult, type RunInView, type StoredDetector, storedDetectors } from "@/lib/services/stored-result";

/** Which detectors to list, in which order, and which page of them, from 1. */
export type DetectorsQuery = {
  readonly siteId?: string | undefined;
  readonly kind?: string | undefined;
  readonly access?: Access | undefined;
  readonly text?: string | undefined;
  readonly sort?: DetectorSort | undefined;
  readonly direction?: "asc" | "desc" | undefined;
  readonly page?: number | undefined;
};

/** A detector of the list; money in minor units. */
export type DetectorRowView = StoredDetector & {
  /** Net benefit of its best visit, with the interval that its avoided cost gives it. */
  readonly benefit: Estimate;
};

/** A page of the detectors with what they can be filtered by; `run` is null before the first analysis. */
export type DetectorsView = {
  readonly run: RunInView | null;
  readonly rows: readonly DetectorRowView[];
  readonly total: number;
  readonly page: number;
  readonly pages: number;
  readonly sites: readonly { readonly siteId: string; readonly name: string }[];
  readonly kinds: readonly string[];
};

/** Rows of one page. */
export const DETECTORS_PER_PAGE = 25;

/** The detectors of the last analysis that the query asks for; a page past the end gives the last one. */
export async function showDetectors(context: Context, query: DetectorsQuery = {}): Promise<DetectorsView> {
  requirePermission(context, "see");
  const { store } = context;
  const run = await latestResult(store);
  const sites = (await listSites(store)).map(({ siteId, name }) => ({ siteId, name }));
  const kinds = run?.fleet.kinds.map(({ kind }) => kind) ?? [];
  if (!run) return { run, rows: [], total: 0, page: 1, pages: 1, sites, kinds };
  const { page: asked = 1, ...filter } = query;
  const wanted = { ...filter, runId: run.id, limit: DETECTORS_PER_PAGE };
  const read = (page: number) => storedDetectors(store, { ...wanted, offset: (page - 1) * DETECTORS_PER_PAGE });
  const first = await read(asked);
  const pages = Math.max(1, Math.ceil(first.total / DETECTORS_PER_PAGE));
  const page = Math.min(asked, pages);
  const { rows, total } = page === asked ? first : await read(page);
  return { run, rows: rows.map(withBenefit), total, page, pages, sites, kinds };
}

/** A stored detector with the interval of its net benefit: that of its avoided cost, less the cost of the visit. */
export function withBenefit(stored: StoredDetector): DetectorRowView {
  const { avoidedCost, cost, netBenefit } = stored.result.visit;
  return { ...stored, benefit: { mean: netBenefit, low: avoidedCost.low - cost, high: avoidedCost.high - cost } };
}
