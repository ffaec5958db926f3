import type { Store } from "@/db/client";
import { readDirectory } from "@/db/queries/directory";
import type { Directory, KnownDetector } from "@/lib/import/cross-check";
import { startOfDay } from "@/lib/kernel/time";

/** The sites a sender may write to, by id; null for one that may write to all. */
export type ImportScope = { readonly siteIds: ReadonlySet<string> } | null;

/** The sites and detectors a running import knows; read anew after each file that may change them. */
export class LiveDirectory implements Directory {
  sites: ReadonlyMap<string, { readonly timeZone: string }> = new Map();
  detectors: ReadonlyMap<string, KnownDetector & { readonly key: number }> = new Map();
  readonly closed: boolean;

  constructor(private readonly scope: ImportScope = null) {
    this.closed = scope !== null;
  }

  /** Reads what is stored now; the ids that were not known before. */
  async refresh(unit: Store): Promise<{ newSites: Set<string>; newDetectors: Set<string> }> {
    const before = { sites: this.sites, detectors: this.detectors };
    const stored = await readDirectory(unit);
    const within = ({ siteId }: { siteId: string }) => this.scope?.siteIds.has(siteId) ?? true;
    this.sites = new Map(stored.sites.filter(within).map((site) => [site.siteId, site]));
    this.detectors = new Map(
      stored.detectors
        .filter(within)
        .map((one) => [one.detectorId, { ...one, installedAt: startOfDay(one.installedOn, one.timeZone) }]),
    );
    return {
      newSites: new Set([...this.sites.keys()].filter((id) => !before.sites.has(id))),
      newDetectors: new Set([...this.detectors.keys()].filter((id) => !before.detectors.has(id))),
    };
  }
}
