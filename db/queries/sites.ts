import { asc, eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import { sites } from "@/db/schema/index";
import type { Site } from "@/lib/records/site";

/** Columns of a site as the product holds it. */
export const siteColumns = {
  siteId: sites.siteId,
  name: sites.name,
  latitude: sites.latitude,
  longitude: sites.longitude,
  timeZone: sites.timeZone,
  portfolio: sites.portfolio,
  currency: sites.currency,
  opens: sites.opens,
  closes: sites.closes,
  detectorsOnSystem: sites.detectorsOnSystem,
};

/** All sites by their id; empty when there are none. */
export async function listSites(store: Store): Promise<Site[]> {
  return store.db.select(siteColumns).from(sites).orderBy(asc(sites.siteId)).all();
}

/** The site of an id; null when there is none. */
export async function findSite(store: Store, siteId: string): Promise<Site | null> {
  return store.db.select(siteColumns).from(sites).where(eq(sites.siteId, siteId)).get() ?? null;
}
