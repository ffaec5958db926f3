import { rankDetectors } from "@/lib/rank/rank";
import type { AnalysisResult } from "@/lib/rank/result";
import { rankingCsv } from "@/lib/report/ranking-csv";
import { rankingJson } from "@/lib/report/ranking-json";
import { rankingText } from "@/lib/report/ranking-text";
import type { Context } from "@/lib/services/context";
import { asOfOf, checkHorizon, loadFleet } from "@/lib/services/load-fleet";
import { type CostsText, loadSettings, withCosts } from "@/lib/services/load-settings";
import { requirePermission } from "@/lib/services/permissions";

/** Layouts a ranking can be printed in. */
export const rankingFormats = ["json", "csv", "text"] as const;

/** One of {@link rankingFormats}. */
export type RankingFormat = (typeof rankingFormats)[number];

/**
 * The ranking as of a moment as finished text; nothing is stored.
 *
 * @param asOf - a day (its end, UTC) or an instant; null: just after the latest record
 * @param costs - a JSON file of costs that stand in for those of the settings; null: the settings as saved
 * @throws AppError invalid_input for a wrong as-of, horizon or costs file
 */
export async function rankFleet(
  context: Context,
  {
    asOf: text,
    horizonDays,
    costs,
    format,
  }: { asOf: string | null; horizonDays: number; costs: CostsText | null; format: RankingFormat },
): Promise<string> {
  requirePermission(context, "see");
  checkHorizon(horizonDays);
  const settings = withCosts((await loadSettings(context.store)).settings, costs);
  const { asOf, asOfText } = await asOfOf(context.store, text);
  const history = await loadFleet(context.store, { asOf, settings });
  return printedAs(format, rankDetectors(history, { horizonDays }), asOfText);
}

function printedAs(format: RankingFormat, result: AnalysisResult, asOfText: string): string {
  if (format === "csv") return rankingCsv(result);
  return format === "json" ? rankingJson(result, { asOfText }) : rankingText(result, { asOfText });
}
