import { dataVersion } from "@/db/queries/data-version";
import { AppError } from "@/lib/kernel/errors";
import { DAY_MS } from "@/lib/kernel/units";
import { backtestOf } from "@/lib/rank/backtest/backtest";
import type { BacktestResult } from "@/lib/rank/backtest/backtest-result";
import { type JudgedOrigin, judgeOrigin } from "@/lib/rank/backtest/judge-origin";
import { backtestOrigins } from "@/lib/rank/backtest/origins";
import { knownOutcome } from "@/lib/rank/backtest/outcome";
import type { Context } from "@/lib/services/context";
import { type BacktestFleet, loadBacktest } from "@/lib/services/load-backtest";
import { asOfOf, checkHorizon } from "@/lib/services/load-fleet";
import { loadSettings } from "@/lib/services/load-settings";
import { requirePermission } from "@/lib/services/permissions";
import { keepBacktest } from "@/lib/services/stored-backtest";

/** How far a backtest has come: first detectors whose readings are read, then past months that are ranked. */
export type BacktestProgress = {
  readonly what: "detectors" | "past months";
  readonly done: number;
  readonly total: number;
};

/** What a backtest came to; `backtestId` is null when it was not to be stored. */
export type BacktestedFleet = { readonly backtestId: number | null; readonly result: BacktestResult };

const MOST_MONTHS = 60;

/**
 * Ranks the stored fleet as of the starts of the last months, sets each ranking beside what followed, and stores the
 * answer for the screens.
 *
 * @param months - how many past months at most; fewer where records do not reach back a year before them
 * @param save - false: nothing is stored
 * @throws AppError invalid_input for months or a horizon out of range, an empty store, or records that are too short
 */
export async function backtestFleet(
  context: Context,
  {
    months = 12,
    horizonDays = 90,
    save = true,
    onProgress,
  }: {
    months?: number;
    horizonDays?: number;
    save?: boolean;
    onProgress?: (progress: BacktestProgress) => void;
  } = {},
): Promise<BacktestedFleet> {
  requirePermission(context, "analyse");
  checkHorizon(horizonDays);
  checkMonths(months);
  const { store } = context;
  // Read before the data, so that what comes in meanwhile makes the backtest look old rather than new.
  const versionOfData = await dataVersion(store);
  const { version, settings } = await loadSettings(store);
  const { asOf: until } = await asOfOf(store, null);
  const wanted = { knownUntil: until, months, horizonDays };
  const fleet = await loadBacktest(store, {
    origins: backtestOrigins({ ...wanted, firstRecordAt: -Infinity }),
    until,
    settings,
    onProgress: (progress) => onProgress?.({ what: "detectors", ...progress }),
  });
  const origins = backtestOrigins({ ...wanted, firstRecordAt: fleet.end.firstRecordAt });
  if (origins.length === 0) throw tooShort(fleet, horizonDays);
  const judged = await judgedOrigins(fleet, { origins, horizonDays, ...(onProgress ? { onProgress } : {}) });
  const result = backtestOf(judged, { end: fleet.end, monthsAsked: months, horizonDays });
  const made = { settingsVersion: version, dataVersion: versionOfData, createdAt: context.now };
  return { backtestId: save ? await keepBacktest(store, result, made) : null, result };
}

/** One origin after the other: only what is asked of a past ranking is kept, so memory does not grow with the months. */
async function judgedOrigins(
  fleet: BacktestFleet,
  {
    origins,
    horizonDays,
    onProgress,
  }: { origins: readonly number[]; horizonDays: number; onProgress?: (progress: BacktestProgress) => void },
): Promise<JudgedOrigin[]> {
  const outcome = knownOutcome(fleet.end);
  const judged: JudgedOrigin[] = [];
  for (const origin of origins) {
    onProgress?.({ what: "past months", done: judged.length, total: origins.length });
    judged.push(judgeOrigin(fleet.at(origin), { outcome, horizonDays, withEffects: origin === origins.at(-1) }));
    // Lets a caller that shares this process answer others between two months.
    await new Promise((resolve) => setImmediate(resolve));
  }
  onProgress?.({ what: "past months", done: origins.length, total: origins.length });
  return judged;
}

function checkMonths(months: number): void {
  if (Number.isInteger(months) && months >= 1 && months <= MOST_MONTHS) return;
  throw new AppError("invalid_input", `months '${months}' is not a whole number from 1 to ${MOST_MONTHS}`);
}

function tooShort({ end }: BacktestFleet, horizonDays: number): AppError {
  const days = Math.floor((end.asOf - end.firstRecordAt) / DAY_MS);
  return new AppError(
    "invalid_input",
    `records reach over ${days} days, which is too short: a past ranking needs a year before the start of a month and ${horizonDays} days after it`,
  );
}
