import type { Store } from "@/db/client";
import { listDetectors } from "@/db/queries/detectors";
import { latestEventAt, listEvents } from "@/db/queries/events";
import { eachSeries, latestReadingAtBySite } from "@/db/queries/readings";
import { listSites } from "@/db/queries/sites";
import { latestWorkAt, listWork } from "@/db/queries/work";
import { fleetHistory } from "@/lib/analyse/fleet-history";
import type { FleetHistory } from "@/lib/analyse/history";
import { type SignalSummary, summariseSignal } from "@/lib/analyse/signal-summary";
import { AppError } from "@/lib/kernel/errors";
import { asOfInstant } from "@/lib/kernel/time";
import { MINUTE_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";
import type { Settings } from "@/lib/settings/settings";

/** How far loading has come: detectors whose readings were read, of all. */
export type LoadProgress = { readonly done: number; readonly total: number };

/** What a caller may take from the readings of a detector while they are at hand. */
export type OnSeries = (read: { detectorId: string; series: ReadingSeries; summary: SignalSummary }) => void;

const PROGRESS_STEP = 50;
const LONGEST_HORIZON_DAYS = 730;

/** History of the stored fleet as of a moment; readings are reduced one detector at a time. */
export async function loadFleet(
  store: Store,
  {
    asOf,
    settings,
    onProgress,
    onSeries,
  }: { asOf: number; settings: Settings; onProgress?: (progress: LoadProgress) => void; onSeries?: OnSeries },
): Promise<FleetHistory> {
  const detectors = await listDetectors(store, {});
  const signals = new Map<string, SignalSummary>();
  let done = 0;
  for await (const { detectorId, series } of eachSeries(store, { until: asOf })) {
    const summary = summariseSignal(series, { asOf, silentAfterHours: settings.silentAfterHours });
    if (summary) {
      signals.set(detectorId, summary);
      onSeries?.({ detectorId, series, summary });
    }
    done += 1;
    if (done % PROGRESS_STEP === 0) onProgress?.({ done, total: detectors.length });
  }
  onProgress?.({ done: detectors.length, total: detectors.length });
  const records = {
    sites: await listSites(store),
    detectors,
    events: await listEvents(store, { until: asOf }),
    work: await listWork(store, { until: asOf }),
  };
  return fleetHistory({ records, signals, settings, asOf });
}

/**
 * The moment an as-of text means, with the text to give back; without a text, just after the latest record.
 *
 * @throws AppError invalid_input for a text that is neither a day nor an instant, or for an empty store
 */
export async function asOfOf(store: Store, text: string | null): Promise<{ asOf: number; asOfText: string }> {
  if (text !== null) {
    const asOf = asOfInstant(text);
    if (asOf !== null) return { asOf, asOfText: text };
    const hint = "give a day such as 2026-06-30 (its end, UTC) or an instant such as 2026-06-30T12:00:00Z";
    throw new AppError("invalid_input", `as-of '${text}' is not a moment; ${hint}`);
  }
  const latest = await latestRecordAt(store);
  if (latest === null) throw new AppError("invalid_input", "the store holds no records yet; import your files first");
  const asOf = Math.floor(latest / MINUTE_MS) * MINUTE_MS + MINUTE_MS;
  return { asOf, asOfText: new Date(asOf).toISOString() };
}

/** Throws `invalid_input` unless a horizon is a whole number of days that can be forecast. */
export function checkHorizon(horizonDays: number): void {
  if (Number.isInteger(horizonDays) && horizonDays >= 1 && horizonDays <= LONGEST_HORIZON_DAYS) return;
  throw new AppError(
    "invalid_input",
    `horizon '${horizonDays}' is not a whole number of days from 1 to ${LONGEST_HORIZON_DAYS}`,
  );
}

async function latestRecordAt(store: Store): Promise<number | null> {
  const readings = await latestReadingAtBySite(store);
  const moments = [...readings.values(), await latestEventAt(store), await latestWorkAt(store)];
  const known = moments.filter((at) => at !== null);
  return known.length === 0 ? null : Math.max(...known);
}
