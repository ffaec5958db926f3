import type { Store } from "@/db/client";
import { latestBacktest, saveBacktest } from "@/db/queries/backtests";
import { dataVersion } from "@/db/queries/data-version";
import { listSites } from "@/db/queries/sites";
import type { BacktestResult } from "@/lib/rank/backtest/backtest-result";
import { loadSettings } from "@/lib/services/load-settings";
import { ofOurFormat } from "@/lib/services/stored-result";

/** Version of the shape in lib/rank/backtest/backtest-result.ts as it is stored; raised when it changes. */
export const BACKTEST_FORMAT = 1;

/** The backtest in view: what it was made from, and what it says. */
export type BacktestInView = {
  readonly createdAt: number;
  readonly settingsVersion: number;
  /** Whether data came in or went out since it was made. */
  readonly dataMoved: boolean;
  /** Whether settings were saved since it was made. */
  readonly settingsMoved: boolean;
  readonly result: BacktestResult;
};

/** Saves a backtest as the latest, in the present format; returns its id. */
export async function keepBacktest(
  store: Store,
  result: BacktestResult,
  made: { readonly settingsVersion: number; readonly dataVersion: number; readonly createdAt: number },
): Promise<number> {
  return saveBacktest(store, {
    ...made,
    knownUntil: result.knownUntil,
    horizonDays: result.horizonDays,
    months: result.origins.length,
    formatVersion: BACKTEST_FORMAT,
    result,
  });
}

/** The backtest saved last; null before the first, in another format, and when all it was made from is taken back. */
export async function keptBacktest(store: Store): Promise<BacktestInView | null> {
  const kept = await latestBacktest(store);
  if (!kept || kept.formatVersion !== BACKTEST_FORMAT) return null;
  const dataMoved = (await dataVersion(store)) !== kept.dataVersion;
  if (dataMoved && (await listSites(store)).length === 0) return null;
  const { version } = await loadSettings(store);
  return {
    createdAt: kept.createdAt,
    settingsVersion: kept.settingsVersion,
    dataMoved,
    settingsMoved: version !== kept.settingsVersion,
    result: ofOurFormat<BacktestResult>(kept.result),
  };
}
