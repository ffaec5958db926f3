import { listSites } from "@/db/queries/sites";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { type BacktestInView, keptBacktest } from "@/lib/services/stored-backtest";

/** What the page about the worth of the ranking shows: the latest backtest, or how many sites wait for a first one. */
export type ProofView =
  | ({ readonly state: "ready" } & BacktestInView)
  | { readonly state: "no_backtest"; readonly sites: number };

/** The latest backtest; `no_backtest` before the first. */
export async function showProof(context: Context): Promise<ProofView> {
  requirePermission(context, "see");
  const kept = await keptBacktest(context.store);
  if (kept === null) return { state: "no_backtest", sites: (await listSites(context.store)).length };
  return { state: "ready", ...kept };
}
