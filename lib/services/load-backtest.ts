import type { Store } from "@/db/client";
import { listDetectors } from "@/db/queries/detectors";
import { listEvents } from "@/db/queries/events";
import { eachSeries } from "@/db/queries/readings";
import { listSites } from "@/db/queries/sites";
import { listWork } from "@/db/queries/work";
import { fleetHistory } from "@/lib/analyse/fleet-history";
import type { FleetHistory } from "@/lib/analyse/history";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { type CuttableSignal, cuttableSignal, signalBefore } from "@/lib/rank/backtest/cut-signal";
import type { LoadProgress } from "@/lib/services/load-fleet";
import type { Settings } from "@/lib/settings/settings";

/** A fleet read from the store once: its history as known at the end, and as known at any of the origins. */
export type BacktestFleet = { readonly end: FleetHistory; readonly at: (origin: number) => FleetHistory };

const PROGRESS_STEP = 50;

/**
 * Reads the stored fleet once for a backtest.
 *
 * Records and readings are cut anew for each origin as for any as-of moment, so a past history holds nothing later; only
 * the daily columns of the readings are shared.
 *
 * @param origins - moments at UTC midnight before `until`
 */
export async function loadBacktest(
  store: Store,
  {
    origins,
    until,
    settings,
    onProgress,
  }: {
    origins: readonly number[];
    until: number;
    settings: Settings;
    onProgress?: (progress: LoadProgress) => void;
  },
): Promise<BacktestFleet> {
  const detectors = await listDetectors(store, {});
  const { silentAfterHours } = settings;
  const signals = new Map<string, CuttableSignal>();
  let done = 0;
  for await (const { detectorId, series } of eachSeries(store, { until })) {
    const signal = cuttableSignal(series, { origins, until, silentAfterHours });
    if (signal) signals.set(detectorId, signal);
    done += 1;
    if (done % PROGRESS_STEP === 0) onProgress?.({ done, total: detectors.length });
  }
  onProgress?.({ done: detectors.length, total: detectors.length });
  const records = {
    sites: await listSites(store),
    detectors,
    events: await listEvents(store, { until }),
    work: await listWork(store, { until }),
  };
  const whole = new Map([...signals].map(([detectorId, signal]) => [detectorId, signal.whole]));
  return {
    end: fleetHistory({ records, signals: whole, settings, asOf: until }),
    at: (origin) => fleetHistory({ records, signals: signalsBefore(signals, origin), settings, asOf: origin }),
  };
}

function signalsBefore(signals: ReadonlyMap<string, CuttableSignal>, origin: number): Map<string, SignalSummary> {
  const before = new Map<string, SignalSummary>();
  for (const [detectorId, signal] of signals) {
    const cut = signalBefore(signal, origin);
    if (cut) before.set(detectorId, cut);
  }
  return before;
}
