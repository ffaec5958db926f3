import { findSite, listSites } from "@/db/queries/sites";
import { fleetQuality } from "@/lib/analyse/quality/fleet-quality";
import { AppError } from "@/lib/kernel/errors";
import { qualityJson, qualityText } from "@/lib/report/quality-text";
import type { Context } from "@/lib/services/context";
import { asOfOf, loadFleet } from "@/lib/services/load-fleet";
import { loadSettings } from "@/lib/services/load-settings";
import { requirePermission } from "@/lib/services/permissions";
import { qualityEvidence } from "@/lib/services/quality-evidence";

/** Layouts the quality of records can be printed in. */
export const qualityFormats = ["text", "json"] as const;

/** One of {@link qualityFormats}. */
export type QualityFormat = (typeof qualityFormats)[number];

/**
 * The quality of the stored records as of just after the latest one, as finished text; nothing is stored.
 *
 * @param siteId - one site; null: all of them
 * @throws AppError not_found for an unknown site, invalid_input for an empty store or a site without a detector in service
 */
export async function printQuality(
  context: Context,
  { siteId, format }: { siteId: string | null; format: QualityFormat },
): Promise<string> {
  requirePermission(context, "see");
  const { store } = context;
  if (siteId !== null && (await findSite(store, siteId)) === null) {
    throw new AppError("not_found", `no site ${siteId}; see the list of sites`);
  }
  const { settings } = await loadSettings(store);
  const { asOf, asOfText } = await asOfOf(store, null);
  const { onSeries, evidence } = qualityEvidence(store);
  const history = await loadFleet(store, { asOf, settings, onSeries });
  const answers = fleetQuality(history, await evidence());
  const names = new Map((await listSites(store)).map((site) => [site.siteId, site.name]));
  const sites = [...answers.values()]
    .filter((quality) => siteId === null || quality.siteId === siteId)
    .map((quality) => ({ name: names.get(quality.siteId) ?? quality.siteId, quality }));
  if (sites.length === 0) throw new AppError("invalid_input", `site ${siteId ?? ""} has no detector in service yet`);
  return format === "json" ? qualityJson(sites, { asOf }) : qualityText(sites, { asOfText });
}
