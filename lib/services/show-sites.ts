import { listSites } from "@/db/queries/sites";
import { seriousInShort } from "@/lib/analyse/quality/serious-in-short";
import { compareText } from "@/lib/kernel/text";
import type { SiteResult } from "@/lib/rank/result";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { type RunView, runViewOf } from "@/lib/services/run-view";
import type { NoResultView } from "@/lib/services/show-fleet";
import { latestResult, storedSites } from "@/lib/services/stored-result";

/** What the league table can be sorted by. */
export const siteSorts = [
  "expectedCost",
  "netBenefit",
  "faultRate",
  "falseAlarmRate",
  "testsOverdue",
  "detectors",
  "completeness",
  "name",
] as const;

/** One of {@link siteSorts}. */
export type SiteSort = (typeof siteSorts)[number];

/** A line of the league table. */
export type SiteLine = Pick<
  SiteResult,
  | "siteId"
  | "detectors"
  | "faultRate"
  | "faults12m"
  | "falseAlarmRate"
  | "falseAlarmBase"
  | "falseAlarms12m"
  | "testsOverdue"
  | "expectedCost"
  | "worthwhileVisits"
  | "netBenefit"
  | "completeness"
  | "lastRecordAt"
> & {
  readonly name: string;
  readonly timeZone: string;
  readonly limitsMet: number;
  /** What is seriously wrong with its records, in a few words each. */
  readonly dataTrouble: readonly string[];
};

/** A page of the league table. */
export type SitesView = {
  readonly state: "ready";
  readonly run: RunView;
  readonly lines: readonly SiteLine[];
  readonly page: number;
  readonly pages: number;
  readonly total: number;
  /** Highest ends of the intervals over all sites, for one scale down the table; 0 when none can be said. */
  readonly highest: { readonly faultRate: number; readonly falseAlarmRate: number; readonly expectedCost: number };
};

const PAGE_LENGTH = 25;

/** The sites of the latest run, sorted and cut into pages; absent values come last in either direction, ties by id. */
export async function showSites(
  context: Context,
  { sort, direction, page }: { sort: SiteSort; direction: "asc" | "desc"; page: number },
): Promise<SitesView | NoResultView> {
  requirePermission(context, "see");
  const sites = await listSites(context.store);
  const run = await latestResult(context.store);
  if (run === null) return { state: "no_result", sites: sites.length };
  const zones = new Map(sites.map(({ siteId, timeZone }) => [siteId, timeZone]));
  const lines = (await storedSites(context.store, { runId: run.id }))
    .map(({ name, result }) => lineOf(result, { name, timeZone: zones.get(result.siteId) ?? "UTC" }))
    .sort((a, b) => compared(a, b, { sort, direction }));
  const pages = Math.max(1, Math.ceil(lines.length / PAGE_LENGTH));
  const shown = Math.min(Math.max(1, page), pages);
  return {
    state: "ready",
    run: runViewOf(run),
    lines: lines.slice((shown - 1) * PAGE_LENGTH, shown * PAGE_LENGTH),
    page: shown,
    pages,
    total: lines.length,
    highest: {
      faultRate: Math.max(0, ...lines.map(({ faultRate }) => faultRate?.high ?? 0)),
      falseAlarmRate: Math.max(0, ...lines.map(({ falseAlarmRate }) => falseAlarmRate?.high ?? 0)),
      expectedCost: Math.max(0, ...lines.map(({ expectedCost }) => expectedCost.mean)),
    },
  };
}

function lineOf(result: SiteResult, { name, timeZone }: { name: string; timeZone: string }): SiteLine {
  const { commonCause: _episodes, rising: _rising, months: _months, limits, detectorDays: _days, ...rest } = result;
  const { quality, ...line } = rest;
  const dataTrouble = quality ? seriousInShort(quality) : [];
  return { ...line, name, timeZone, limitsMet: limits.filter(({ met }) => met).length, dataTrouble };
}

function compared(
  a: SiteLine,
  b: SiteLine,
  { sort, direction }: { sort: SiteSort; direction: "asc" | "desc" },
): number {
  const [left, right] = [sortKeyOf(a, sort), sortKeyOf(b, sort)];
  const byId = compareText(a.siteId, b.siteId);
  if (left === null || right === null) return left === right ? byId : left === null ? 1 : -1;
  if (left === right) return byId;
  return (left < right ? -1 : 1) * (direction === "asc" ? 1 : -1);
}

function sortKeyOf(line: SiteLine, sort: SiteSort): number | string | null {
  if (sort === "name") return line.name.toLowerCase();
  const value = line[sort];
  return value === null || typeof value === "number" ? value : value.mean;
}
