import type { Store } from "@/db/client";
import { readDirectory } from "@/db/queries/directory";
import type { Directory, KnownDetector } from "@/lib/import/cross-check";
import { startOfDay } from "@/lib/kernel/time";

/** The sites and detectors a running import knows; read anew after each file that may change them. */
export class LiveDirectory implements Directory {
  sites: ReadonlyMap<string, { readonly timeZone: string }> = new Map();
  detectors: ReadonlyMap<string, KnownDetector & { readonly key: number }> = new Map();

  /** Reads what is stored now; the ids that were not known before. */
  async refresh(unit: Store): Promise<{ newSites: Set<string>; newDetectors: Set<string> }> {
    const before = { sites: this.sites, detectors: this.detectors };
    const stored = await readDirectory(unit);
    this.sites = new Map(stored.sites.map((site) => [site.siteId, site]));
    this.detectors = new Map(
      stored.detectors.map((one) => [
        one.detectorId,
        { ...one, installedAt: startOfDay(one.installedOn, one.timeZone) },
      ]),
    );
    return {
      newSites: new Set([...this.sites.keys()].filter((id) => !before.sites.has(id))),
      newDetectors: new Set([...this.detectors.keys()].filter((id) => !before.detectors.has(id))),
    };
  }
}
