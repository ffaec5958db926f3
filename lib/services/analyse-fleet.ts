import { dataVersion } from "@/db/queries/data-version";
import { fleetContext } from "@/lib/analyse/fleet-context";
import { fleetQuality } from "@/lib/analyse/quality/fleet-quality";
import { rankDetectors } from "@/lib/rank/rank";
import { withQuality } from "@/lib/rank/with-quality";
import type { Context } from "@/lib/services/context";
import { asOfOf, checkHorizon, type LoadProgress, loadFleet } from "@/lib/services/load-fleet";
import { loadSettings } from "@/lib/services/load-settings";
import { requirePermission } from "@/lib/services/permissions";
import { qualityEvidence } from "@/lib/services/quality-evidence";
import { saveResult } from "@/lib/services/stored-result";

/** What an analysis came to: the stored run and its main counts. */
export type AnalysedFleet = {
  readonly runId: number;
  readonly asOf: number;
  readonly detectors: number;
  readonly worthwhileVisits: number;
  readonly findings: number;
};

/**
 * Analyses the stored fleet and stores the answer as the latest run, which the screens show.
 *
 * @param asOf - as in `rankFleet`; null: just after the latest record
 * @throws AppError invalid_input for a wrong as-of or horizon, or an empty store
 */
export async function analyseFleet(
  context: Context,
  {
    asOf: text = null,
    horizonDays = 90,
    onProgress,
  }: { asOf?: string | null; horizonDays?: number; onProgress?: (progress: LoadProgress) => void } = {},
): Promise<AnalysedFleet> {
  requirePermission(context, "analyse");
  checkHorizon(horizonDays);
  const { store } = context;
  // Read before the data, so that what comes in meanwhile makes the run look old rather than new.
  const versionOfData = await dataVersion(store);
  const { version, settings } = await loadSettings(store);
  const { asOf } = await asOfOf(store, text);
  const { onSeries, evidence } = qualityEvidence(store);
  const history = await loadFleet(store, { asOf, settings, onSeries, ...(onProgress ? { onProgress } : {}) });
  const fleet = fleetContext(history, { horizonDays });
  const quality = fleetQuality(history, { ...(await evidence()), drifts: fleet.drifts });
  const result = withQuality(rankDetectors(history, { horizonDays, fleet }), quality);
  const runId = await saveResult(store, result, {
    settingsVersion: version,
    dataVersion: versionOfData,
    createdAt: context.now,
  });
  return {
    runId,
    asOf,
    detectors: result.detectors.length,
    worthwhileVisits: result.fleet.worthwhile.visits,
    findings: result.detectors.reduce((sum, { findings }) => sum + findings.length, 0),
  };
}
