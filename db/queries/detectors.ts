import { asc, eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import { detectors, sites } from "@/db/schema/index";
import type { Detector } from "@/lib/records/detector";

/** Columns of a detector as the product holds it; needs the join with its site. */
export const detectorColumns = {
  detectorId: detectors.detectorId,
  siteId: sites.siteId,
  label: detectors.label,
  form: detectors.form,
  pathLengthM: detectors.pathLengthM,
  heightM: detectors.heightM,
  bearingDeg: detectors.bearingDeg,
  installedOn: detectors.installedOn,
  alarmThresholdPct: detectors.alarmThresholdPct,
  access: detectors.access,
  zone: detectors.zone,
  environment: detectors.environment,
  lastServiceOn: detectors.lastServiceOn,
};

/** Detectors, of one site or of all, by their id; empty when there are none. */
export async function listDetectors(store: Store, { siteId }: { siteId?: string } = {}): Promise<Detector[]> {
  return store.db
    .select(detectorColumns)
    .from(detectors)
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .where(siteId === undefined ? undefined : eq(sites.siteId, siteId))
    .orderBy(asc(detectors.detectorId))
    .all();
}

/** The detector of an id; null when there is none. */
export async function findDetector(store: Store, detectorId: string): Promise<Detector | null> {
  const found = store.db
    .select(detectorColumns)
    .from(detectors)
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .where(eq(detectors.detectorId, detectorId))
    .get();
  return found ?? null;
}
