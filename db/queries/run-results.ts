import { and, asc, desc, eq, getTableColumns, like, or, type SQL, sql } from "drizzle-orm";
import type { SQLiteColumn } from "drizzle-orm/sqlite-core";
import type { Store } from "@/db/client";
import type { RunDetectorRow, RunSiteRow } from "@/db/queries/analysis-runs";
import { detectors, runDetectors, runSites, sites } from "@/db/schema/index";
import type { Access, Form } from "@/lib/records/vocabulary";

/** A detector's result with the words people know it by. */
export type ListedRunDetector = RunDetectorRow & {
  readonly siteId: string;
  readonly siteName: string;
  readonly label: string;
  readonly access: Access;
  readonly form: Form;
  readonly pathLengthM: number;
  readonly heightM: number;
  readonly timeZone: string;
};

/** A site's result with its name. */
export type ListedRunSite = RunSiteRow & { readonly name: string };

/** What a list of detectors can be sorted by. */
export const detectorSorts = [
  "rank",
  "netBenefit",
  "expectedCost",
  "faults12m",
  "alarms12m",
  "latestSignalPct",
  "testOverdueDays",
  "detectorId",
  "siteId",
] as const;

/** One of {@link detectorSorts}. */
export type DetectorSort = (typeof detectorSorts)[number];

/** Which detectors of a run to list; `text` is sought in ids, labels and site names; `kind` is a finding kind. */
export type DetectorFilter = {
  readonly runId: number;
  readonly siteId?: string | undefined;
  readonly kind?: string | undefined;
  readonly access?: Access | undefined;
  readonly text?: string | undefined;
};

/** A page of the detectors of a run, and how many there are; absent values come last in either direction, ties by id. */
export async function listRunDetectors(
  store: Store,
  {
    sort = "rank",
    direction = "asc",
    limit = 50,
    offset = 0,
    ...filter
  }: DetectorFilter & {
    sort?: DetectorSort | undefined;
    direction?: "asc" | "desc" | undefined;
    limit?: number | undefined;
    offset?: number | undefined;
  },
): Promise<{ total: number; rows: ListedRunDetector[] }> {
  const column = sortColumns[sort];
  const rows = selectDetectors(store, whereOf(filter))
    .orderBy(asc(sql`${column} is null`), direction === "asc" ? asc(column) : desc(column), asc(detectors.detectorId))
    .limit(limit)
    .offset(offset)
    .all();
  const total = store.db
    .select({ total: sql<number>`count(*)`.mapWith(Number) })
    .from(runDetectors)
    .innerJoin(detectors, eq(detectors.key, runDetectors.detectorKey))
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .where(whereOf(filter))
    .get();
  return { total: total?.total ?? 0, rows: rows.map(withKinds) };
}

/** The result of one detector in a run; null when the run does not hold it. */
export async function findRunDetector(
  store: Store,
  { runId, detectorId }: { runId: number; detectorId: string },
): Promise<ListedRunDetector | null> {
  const found = selectDetectors(store, and(eq(runDetectors.runId, runId), eq(detectors.detectorId, detectorId))).get();
  return found ? withKinds(found) : null;
}

/** The results of all sites of a run, by site id. */
export async function listRunSites(store: Store, { runId }: { runId: number }): Promise<ListedRunSite[]> {
  return selectSites(store, eq(runSites.runId, runId)).orderBy(asc(sites.siteId)).all();
}

/** The result of one site in a run; null when the run does not hold it. */
export async function findRunSite(
  store: Store,
  { runId, siteId }: { runId: number; siteId: string },
): Promise<ListedRunSite | null> {
  return selectSites(store, and(eq(runSites.runId, runId), eq(sites.siteId, siteId))).get() ?? null;
}

const sortColumns = {
  rank: runDetectors.rank,
  netBenefit: runDetectors.netBenefit,
  expectedCost: runDetectors.expectedCost,
  faults12m: runDetectors.faults12m,
  alarms12m: runDetectors.alarms12m,
  latestSignalPct: runDetectors.latestSignalPct,
  testOverdueDays: runDetectors.testOverdueDays,
  detectorId: detectors.detectorId,
  siteId: sites.siteId,
} as const;

function whereOf({ runId, siteId, kind, access, text }: DetectorFilter): SQL | undefined {
  const pattern = `%${(text ?? "").trim().replace(/[\\%_]/g, "\\$&")}%`;
  const contains = (column: SQLiteColumn) => sql`${like(column, pattern)} escape '\\'`;
  return and(
    eq(runDetectors.runId, runId),
    siteId === undefined ? undefined : eq(sites.siteId, siteId),
    access === undefined ? undefined : eq(detectors.access, access),
    kind === undefined ? undefined : sql`instr(${runDetectors.findingKinds}, ${`,${kind},`}) > 0`,
    pattern === "%%"
      ? undefined
      : or(contains(detectors.detectorId), contains(detectors.label), contains(sites.siteId), contains(sites.name)),
  );
}

function selectDetectors(store: Store, where: SQL | undefined) {
  const { runId: _run, detectorKey: _key, ...columns } = getTableColumns(runDetectors);
  return store.db
    .select({
      ...columns,
      detectorId: detectors.detectorId,
      siteId: sites.siteId,
      siteName: sites.name,
      label: detectors.label,
      access: detectors.access,
      form: detectors.form,
      pathLengthM: detectors.pathLengthM,
      heightM: detectors.heightM,
      timeZone: sites.timeZone,
    })
    .from(runDetectors)
    .innerJoin(detectors, eq(detectors.key, runDetectors.detectorKey))
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .where(where)
    .$dynamic();
}

function selectSites(store: Store, where: SQL | undefined) {
  const { runId: _run, siteKey: _key, ...columns } = getTableColumns(runSites);
  return store.db
    .select({ ...columns, siteId: sites.siteId, name: sites.name })
    .from(runSites)
    .innerJoin(sites, eq(sites.key, runSites.siteKey))
    .where(where)
    .$dynamic();
}

function withKinds<Row extends { findingKinds: string }>(
  row: Row,
): Omit<Row, "findingKinds"> & { findingKinds: string[] } {
  return { ...row, findingKinds: row.findingKinds.split(",").filter((kind) => kind !== "") };
}
