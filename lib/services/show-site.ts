import { listDetectors } from "@/db/queries/detectors";
import { findSite } from "@/db/queries/sites";
import { AppError } from "@/lib/kernel/errors";
import { DAY_MS } from "@/lib/kernel/units";
import type { SiteResult } from "@/lib/rank/result";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";
import type { Context } from "@/lib/services/context";
import { monthsInView } from "@/lib/services/months-view";
import { requirePermission } from "@/lib/services/permissions";
import { type RunView, runViewOf } from "@/lib/services/run-view";
import type { NoResultView } from "@/lib/services/show-fleet";
import { latestResult, type StoredDetector, storedDetectors, storedSite } from "@/lib/services/stored-result";
import { type VisitView, visitViewOf } from "@/lib/services/visit-view";

/** A detector on the plan of its site. */
export type SiteBeamView = VisitView &
  Pick<Detector, "bearingDeg" | "heightM" | "access"> & {
    /** Expected cost of the horizon without a visit, minor units. */
    readonly expectedCost: number;
    readonly lastTestOn: string | null;
    readonly notes: readonly string[];
  };

/** One site: why it stands where it stands. */
export type SiteView = {
  readonly state: "ready";
  readonly run: RunView;
  readonly site: Site;
  readonly result: SiteResult;
  /** Its detectors, best visit first. */
  readonly beams: readonly SiteBeamView[];
  /** Days from the last record to the as-of moment; null when there is no record. */
  readonly silentDays: number | null;
};

const MOST_DETECTORS = 2000;

/**
 * One site as of the latest run; `no_result` when there is no run yet or the site came in after it.
 *
 * @throws AppError `not_found` when there is no such site
 */
export async function showSite(
  context: Context,
  { siteId }: { siteId: string },
): Promise<SiteView | (NoResultView & { readonly site: Site })> {
  requirePermission(context, "see");
  const { store } = context;
  const site = await findSite(store, siteId);
  if (site === null) throw new AppError("not_found", `no site ${siteId}; see the list of sites`);
  const run = await latestResult(store);
  const stored = run && (await storedSite(store, { runId: run.id, siteId }));
  if (!run || !stored) return { state: "no_result", sites: 1, site };
  const detectors = new Map((await listDetectors(store, { siteId })).map((one) => [one.detectorId, one]));
  const { rows } = await storedDetectors(store, { runId: run.id, siteId, sort: "rank", limit: MOST_DETECTORS });
  const { lastRecordAt } = stored.result;
  return {
    state: "ready",
    run: runViewOf(run),
    site,
    result: { ...stored.result, months: monthsInView(stored.result.months, { asOf: run.asOf, zone: site.timeZone }) },
    beams: rows.flatMap((row) => {
      const detector = detectors.get(row.detectorId);
      return detector ? [beamOf(detector, row)] : [];
    }),
    silentDays: lastRecordAt === null ? null : Math.max(0, (run.asOf - lastRecordAt) / DAY_MS),
  };
}

function beamOf(detector: Detector, row: StoredDetector): SiteBeamView {
  const { expectedCost, record } = row.result;
  return {
    ...visitViewOf(detector, row),
    bearingDeg: detector.bearingDeg,
    heightM: detector.heightM,
    access: detector.access,
    expectedCost: expectedCost.mean,
    lastTestOn: record.lastTestOn,
    notes: record.notes,
  };
}
