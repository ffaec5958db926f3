import { listSites } from "@/db/queries/sites";
import { type CaptureMethod, captureShares } from "@/lib/rank/backtest/backtest-result";
import { captureMethodWords } from "@/lib/report/backtest-words";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { type BacktestInView, keptBacktest } from "@/lib/services/stored-backtest";

/** What the page about the worth of the ranking shows: the latest backtest, or how many sites wait for a first one. */
export type ProofView = ReadyProof | { readonly state: "no_backtest"; readonly sites: number };

/** The latest backtest with the words for its ways of choosing; `shares` are the places of its lists of shares held. */
export type ReadyProof = BacktestInView & {
  readonly state: "ready";
  readonly shares: readonly number[];
  readonly methodWords: Readonly<Record<CaptureMethod, string>>;
};

/** The latest backtest; `no_backtest` before the first. */
export async function showProof(context: Context): Promise<ProofView> {
  requirePermission(context, "see");
  const kept = await keptBacktest(context.store);
  if (kept === null) return { state: "no_backtest", sites: (await listSites(context.store)).length };
  return { state: "ready", ...kept, shares: captureShares, methodWords: captureMethodWords };
}
