import { eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import { detectors, sites } from "@/db/schema/index";

/** What an import must know of every site: its zone. */
export type DirectorySite = { readonly siteId: string; readonly timeZone: string };

/** What an import must know of every detector: its key in the store, its site with its zone and its first day of service. */
export type DirectoryDetector = {
  readonly key: number;
  readonly detectorId: string;
  readonly siteId: string;
  readonly timeZone: string;
  readonly installedOn: string;
};

/** All sites and detectors as an import must know them. */
export async function readDirectory(unit: Store): Promise<{ sites: DirectorySite[]; detectors: DirectoryDetector[] }> {
  return {
    sites: unit.db.select({ siteId: sites.siteId, timeZone: sites.timeZone }).from(sites).all(),
    detectors: unit.db
      .select({
        key: detectors.key,
        detectorId: detectors.detectorId,
        siteId: sites.siteId,
        timeZone: sites.timeZone,
        installedOn: detectors.installedOn,
      })
      .from(detectors)
      .innerJoin(sites, eq(sites.key, detectors.siteKey))
      .all(),
  };
}
