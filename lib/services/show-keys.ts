import { listSites } from "@/db/queries/sites";
import { type ApiKeyView, listApiKeys } from "@/lib/services/api-keys";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";

/** The keys, and what a new one may be made for; `portfolios` by name. */
export type KeysView = {
  readonly keys: readonly ApiKeyView[];
  readonly sites: readonly { readonly siteId: string; readonly name: string }[];
  readonly portfolios: readonly string[];
};

/** The keys with which sites send records; standing ones first, each in the order they were made. */
export async function showKeys(context: Context): Promise<KeysView> {
  requirePermission(context, "manage_keys");
  const keys = await listApiKeys(context);
  const sites = await listSites(context.store);
  const portfolios = new Set(sites.flatMap(({ portfolio }) => (portfolio === null ? [] : [portfolio])));
  return {
    keys: keys.toSorted((one, other) => Number(one.revokedAt !== null) - Number(other.revokedAt !== null)),
    sites: sites.map(({ siteId, name }) => ({ siteId, name })),
    portfolios: [...portfolios].sort(),
  };
}
