import { desc, notInArray } from "drizzle-orm";
import type { Store } from "@/db/client";
import { analysisRuns, detectors, runDetectors, runSites, sites } from "@/db/schema/index";
import { inUnit } from "@/db/unit";

/** A run as it is listed: what it was made from and what it says of the fleet. */
export type StoredRun = typeof analysisRuns.$inferSelect;

/** A site's result as it is saved: columns to sort by, money in minor units, and everything else in `payload`. */
export type RunSiteRow = Omit<typeof runSites.$inferSelect, "runId" | "siteKey"> & { readonly siteId: string };

/** A detector's result as it is saved; `findingKinds` in the order in which they are shown. */
export type RunDetectorRow = Omit<typeof runDetectors.$inferSelect, "runId" | "detectorKey" | "findingKinds"> & {
  readonly detectorId: string;
  readonly findingKinds: readonly string[];
};

/** How many runs are kept: the present one, and two to compare it with. */
const KEPT_RUNS = 3;

/**
 * Saves a run whole and drops all but the last three; returns its id.
 *
 * @throws RangeError when a site or detector of the run is not in the store
 */
export async function saveRun(
  store: Store,
  run: Omit<StoredRun, "id"> & { readonly sites: readonly RunSiteRow[]; readonly detectors: readonly RunDetectorRow[] },
): Promise<number> {
  const { sites: siteRows, detectors: detectorRows, ...head } = run;
  return inUnit(store, async (unit) => {
    const { id } = unit.db.insert(analysisRuns).values(head).returning().get();
    saveSites(unit, { runId: id, rows: siteRows });
    saveDetectors(unit, { runId: id, rows: detectorRows });
    const kept = unit.db
      .select({ id: analysisRuns.id })
      .from(analysisRuns)
      .orderBy(desc(analysisRuns.id))
      .limit(KEPT_RUNS)
      .all();
    unit.db
      .delete(analysisRuns)
      .where(
        notInArray(
          analysisRuns.id,
          kept.map((one) => one.id),
        ),
      )
      .run();
    return id;
  });
}

/** The run saved last; null before the first. */
export async function latestRun(store: Store): Promise<StoredRun | null> {
  return store.db.select().from(analysisRuns).orderBy(desc(analysisRuns.id)).limit(1).get() ?? null;
}

const PORTION = 500;

function saveSites(unit: Store, { runId, rows }: { runId: number; rows: readonly RunSiteRow[] }): void {
  const keys = new Map(
    unit.db
      .select({ id: sites.siteId, key: sites.key })
      .from(sites)
      .all()
      .map((one) => [one.id, one.key]),
  );
  for (let from = 0; from < rows.length; from += PORTION) {
    const values = rows.slice(from, from + PORTION).map(({ siteId, ...row }) => {
      return { ...row, runId, siteKey: keyOf(keys, siteId) };
    });
    unit.db.insert(runSites).values(values).run();
  }
}

function saveDetectors(unit: Store, { runId, rows }: { runId: number; rows: readonly RunDetectorRow[] }): void {
  const keys = new Map(
    unit.db
      .select({ id: detectors.detectorId, key: detectors.key })
      .from(detectors)
      .all()
      .map((one) => [one.id, one.key]),
  );
  for (let from = 0; from < rows.length; from += PORTION) {
    const values = rows.slice(from, from + PORTION).map(({ detectorId, findingKinds, ...row }) => {
      return { ...row, runId, detectorKey: keyOf(keys, detectorId), findingKinds: `,${findingKinds.join(",")},` };
    });
    unit.db.insert(runDetectors).values(values).run();
  }
}

function keyOf(keys: ReadonlyMap<string, number>, id: string): number {
  const key = keys.get(id);
  if (key === undefined) throw new RangeError(`a run names ${id}, which is not in the store`);
  return key;
}
