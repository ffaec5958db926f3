import { AppError } from "@/lib/kernel/errors";
import { rankDetectors } from "@/lib/rank/rank";
import { explanationText } from "@/lib/report/explanation-text";
import type { Context } from "@/lib/services/context";
import { asOfOf, checkHorizon, loadFleet } from "@/lib/services/load-fleet";
import { type CostsText, loadSettings, withCosts } from "@/lib/services/load-settings";
import { requirePermission } from "@/lib/services/permissions";

/**
 * Why a detector stands where it stands in the ranking as of a moment, as finished text; nothing is stored.
 *
 * @param asOf, costs - as in `rankFleet`
 * @throws AppError not_found for a detector that is not in service then; invalid_input as `rankFleet`
 */
export async function explainDetector(
  context: Context,
  {
    detectorId,
    asOf: text,
    horizonDays,
    costs,
  }: { detectorId: string; asOf: string | null; horizonDays: number; costs: CostsText | null },
): Promise<string> {
  requirePermission(context, "see");
  checkHorizon(horizonDays);
  const settings = withCosts((await loadSettings(context.store)).settings, costs);
  const { asOf, asOfText } = await asOfOf(context.store, text);
  const history = await loadFleet(context.store, { asOf, settings });
  const explained = explanationText(rankDetectors(history, { horizonDays }), { detectorId, asOfText });
  if (explained === null) throw new AppError("not_found", `no detector ${detectorId} in service as of ${asOfText}`);
  return explained;
}
