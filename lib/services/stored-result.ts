import type { Store } from "@/db/client";
import { latestRun, type RunDetectorRow, type RunSiteRow, type StoredRun, saveRun } from "@/db/queries/analysis-runs";
import { dataVersion } from "@/db/queries/data-version";
import {
  type DetectorFilter,
  type DetectorSort,
  findRunDetector,
  findRunSite,
  type ListedRunDetector,
  listRunDetectors,
  listRunSites,
} from "@/db/queries/run-results";
import { listSites } from "@/db/queries/sites";
import type { AnalysisResult, FleetResult, RankedDetector, SiteResult } from "@/lib/rank/result";
import { loadSettings } from "@/lib/services/load-settings";

/** Version of the shapes in lib/rank/result.ts as they are stored; raised when they change, so that no screen reads another shape. */
export const RESULT_FORMAT = 3;

/** The run in view: what it was made from, and what it says of the fleet. */
export type RunInView = {
  readonly id: number;
  readonly asOf: number;
  readonly horizonDays: number;
  readonly createdAt: number;
  readonly settingsVersion: number;
  readonly currency: string;
  /** Whether data came in or went out since the run was made. */
  readonly dataMoved: boolean;
  /** Whether settings were saved since the run was made. */
  readonly settingsMoved: boolean;
  readonly fleet: FleetResult;
};

/** A detector's stored result with the words people know it by. */
export type StoredDetector = Omit<ListedRunDetector, "payload"> & { readonly result: RankedDetector };

/** A site's stored result with its name. */
export type StoredSite = { readonly siteId: string; readonly name: string; readonly result: SiteResult };

/**
 * The run saved last; null before the first, when the last one was stored in another format and must be made anew, and
 * when all it was made from is taken back.
 */
export async function latestResult(store: Store): Promise<RunInView | null> {
  const run = await latestRun(store);
  if (!run || run.formatVersion !== RESULT_FORMAT) return null;
  const dataMoved = (await dataVersion(store)) !== run.dataVersion;
  if (dataMoved && (await listSites(store)).length === 0) return null;
  const { version, settings } = await loadSettings(store);
  const { currency = settings.currency, ...fleet } = ofOurFormat<StoredFleet>(run.fleet);
  return {
    id: run.id,
    asOf: run.asOf,
    horizonDays: run.horizonDays,
    createdAt: run.createdAt,
    settingsVersion: run.settingsVersion,
    currency,
    dataMoved,
    settingsMoved: version !== run.settingsVersion,
    fleet,
  };
}

/** A page of the detectors of a run with their results, and how many there are. */
export async function storedDetectors(
  store: Store,
  query: DetectorFilter & {
    sort?: DetectorSort | undefined;
    direction?: "asc" | "desc" | undefined;
    limit?: number | undefined;
    offset?: number | undefined;
  },
): Promise<{ total: number; rows: StoredDetector[] }> {
  const { total, rows } = await listRunDetectors(store, query);
  return { total, rows: rows.map(typedDetector) };
}

/** The result of one detector in a run; null when the run does not hold it. */
export async function storedDetector(
  store: Store,
  query: { runId: number; detectorId: string },
): Promise<StoredDetector | null> {
  const row = await findRunDetector(store, query);
  return row && typedDetector(row);
}

/** The results of all sites of a run, by site id. */
export async function storedSites(store: Store, query: { runId: number }): Promise<StoredSite[]> {
  const rows = await listRunSites(store, query);
  return rows.map(({ siteId, name, payload }) => ({ siteId, name, result: ofOurFormat<SiteResult>(payload) }));
}

/** The result of one site in a run; null when the run does not hold it. */
export async function storedSite(store: Store, query: { runId: number; siteId: string }): Promise<StoredSite | null> {
  const row = await findRunSite(store, query);
  return row && { siteId: row.siteId, name: row.name, result: ofOurFormat<SiteResult>(row.payload) };
}

/** Saves an answer as the latest run, in the present format; returns its id. */
export async function saveResult(
  store: Store,
  result: AnalysisResult,
  made: Pick<StoredRun, "settingsVersion" | "dataVersion" | "createdAt">,
): Promise<number> {
  const fleet: StoredFleet = { ...result.fleet, currency: result.currency };
  return saveRun(store, {
    ...made,
    asOf: result.asOf,
    horizonDays: result.horizonDays,
    formatVersion: RESULT_FORMAT,
    fleet,
    sites: result.sites.map(siteRow),
    detectors: result.detectors.map(detectorRow),
  });
}

type StoredFleet = FleetResult & { readonly currency?: string };

function siteRow(result: SiteResult): RunSiteRow {
  return {
    siteId: result.siteId,
    expectedCost: result.expectedCost.mean,
    netBenefit: result.netBenefit,
    faults12m: result.faults12m,
    falseAlarms12m: result.falseAlarms12m,
    testsOverdue: result.testsOverdue,
    payload: result,
  };
}

function detectorRow(result: RankedDetector): RunDetectorRow {
  return {
    detectorId: result.detectorId,
    rank: result.rank,
    netBenefit: result.visit.netBenefit,
    expectedCost: result.expectedCost.mean,
    faults12m: result.record.faultEpisodes.length,
    alarms12m: result.record.alarmEpisodes.length,
    latestSignalPct: result.record.latestSignalPct,
    testOverdueDays: result.record.testOverdueDays,
    findingKinds: result.findings.map(({ kind }) => kind),
    payload: result,
  };
}

function typedDetector({ payload, ...row }: ListedRunDetector): StoredDetector {
  return { ...row, result: ofOurFormat<RankedDetector>(payload) };
}

/**
 * Our own stored JSON as the type it was saved from.
 *
 * The only writers are {@link saveResult}, under {@link RESULT_FORMAT}, which {@link latestResult} checks, and the saving
 * of a backtest under a format of its own; a schema of the whole answer would be a second copy of its types.
 */
export function ofOurFormat<Shape>(payload: unknown): Shape {
  return payload as Shape;
}
