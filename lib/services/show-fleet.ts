import { listSites } from "@/db/queries/sites";
import { DAY_MS } from "@/lib/kernel/units";
import type { FleetResult, MonthFigures } from "@/lib/rank/result";
import type { Site } from "@/lib/records/site";
import type { Context } from "@/lib/services/context";
import { loadSettings } from "@/lib/services/load-settings";
import { monthsInView } from "@/lib/services/months-view";
import { requirePermission } from "@/lib/services/permissions";
import { type RunView, runViewOf } from "@/lib/services/run-view";
import { latestResult, type StoredSite, storedDetectors, storedSites } from "@/lib/services/stored-result";
import { type VisitView, visitViews } from "@/lib/services/visit-view";

/** A site on the map and in the list of freshness. */
export type FleetSiteView = Pick<Site, "siteId" | "name" | "latitude" | "longitude" | "timeZone"> & {
  /** Minor units over the horizon. */
  readonly expectedCost: number;
  readonly lastRecordAt: number | null;
  /** Days from the last record to the as-of moment; null when there is no record. */
  readonly silentDays: number | null;
  readonly completeness: number | null;
};

/** False alarms by month of the year per 100 detectors observed a month, and by hour. */
export type MonthHourView = {
  readonly byMonth: readonly { readonly month: number; readonly alarms: number; readonly rate: number | null }[];
  readonly byHour: FleetResult["falseAlarmsByHour"];
};

/** How the fleet stands and what to do first. */
export type FleetView = {
  readonly state: "ready";
  readonly run: RunView;
  readonly fleet: Omit<FleetResult, "months" | "falseAlarmsByHour" | "falseAlarmsByMonthOfYear">;
  /** The last 24 months, oldest first. */
  readonly months: readonly MonthFigures[];
  /** False alarms per 100 detectors a year: normally achievable, asking for a look, asking for an investigation. */
  readonly falseAlarmLimits: { readonly expected: number; readonly look: number; readonly investigation: number };
  readonly visits: readonly VisitView[];
  readonly falseAlarms: MonthHourView;
  readonly sites: readonly FleetSiteView[];
};

/** What stands in the store while there is no result to show. */
export type NoResultView = { readonly state: "no_result"; readonly sites: number };

const BEST_VISITS = 10;
const DAYS_A_MONTH = 30.44;

/** The whole fleet as of the latest run; `no_result` before the first. */
export async function showFleet(context: Context): Promise<FleetView | NoResultView> {
  requirePermission(context, "see");
  const { store } = context;
  const run = await latestResult(store);
  const sites = await listSites(store);
  if (run === null) return { state: "no_result", sites: sites.length };
  const best = await storedDetectors(store, { runId: run.id, sort: "rank", limit: BEST_VISITS });
  const { settings } = await loadSettings(store);
  const { months, falseAlarmsByHour, falseAlarmsByMonthOfYear, ...fleet } = run.fleet;
  return {
    state: "ready",
    run: runViewOf(run),
    fleet,
    months: monthsInView(months, { asOf: run.asOf, zone: "UTC" }),
    falseAlarmLimits: {
      expected: settings.expectedFalseAlarmRate,
      look: settings.preliminaryFalseAlarmRate,
      investigation: settings.investigationFalseAlarmRate,
    },
    visits: await visitViews(store, best.rows),
    falseAlarms: { byMonth: falseAlarmsByMonthOfYear.map(withRate), byHour: falseAlarmsByHour },
    sites: siteViews(sites, { results: await storedSites(store, { runId: run.id }), asOf: run.asOf }),
  };
}

function withRate({ month, alarms, detectorDays }: FleetResult["falseAlarmsByMonthOfYear"][number]) {
  return { month, alarms, rate: detectorDays > 0 ? (alarms / detectorDays) * DAYS_A_MONTH * 100 : null };
}

function siteViews(
  sites: readonly Site[],
  { results, asOf }: { results: readonly StoredSite[]; asOf: number },
): FleetSiteView[] {
  const byId = new Map(results.map(({ siteId, result }) => [siteId, result]));
  return sites.flatMap(({ siteId, name, latitude, longitude, timeZone }) => {
    const result = byId.get(siteId);
    if (!result) return [];
    const { lastRecordAt, completeness } = result;
    return [
      {
        siteId,
        name,
        latitude,
        longitude,
        timeZone,
        expectedCost: result.expectedCost.mean,
        lastRecordAt,
        silentDays: lastRecordAt === null ? null : Math.max(0, (asOf - lastRecordAt) / DAY_MS),
        completeness,
      },
    ];
  });
}
