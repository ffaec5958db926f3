import type { Store } from "@/db/client";
import { findDetector } from "@/db/queries/detectors";
import type { RankedDetector } from "@/lib/rank/result";
import type { Detector } from "@/lib/records/detector";
import type { Form, Task } from "@/lib/records/vocabulary";
import type { StoredDetector } from "@/lib/services/stored-result";

/** A detector as its beam strip is drawn. */
export type BeamView = {
  readonly form: Form;
  readonly pathLengthM: number;
  readonly latestSignalPct: number | null;
  readonly faultEpisodes: readonly number[];
  readonly alarmEpisodes: readonly number[];
  readonly threat: string | null;
};

/** A proposed visit in a list: the detector, its beam, why, and the money in minor units. */
export type VisitView = {
  readonly detectorId: string;
  readonly label: string;
  readonly siteId: string;
  readonly siteName: string;
  readonly rank: number;
  readonly beam: BeamView;
  readonly task: Task;
  readonly reason: string;
  readonly cost: number;
  readonly avoidedCost: RankedDetector["visit"]["avoidedCost"];
  readonly netBenefit: number;
  readonly testOverdueDays: number | null;
};

/** The beam of a detector and its stored result. */
export function beamViewOf(detector: Pick<Detector, "form" | "pathLengthM">, { record }: RankedDetector): BeamView {
  return {
    form: detector.form,
    pathLengthM: detector.pathLengthM,
    latestSignalPct: record.latestSignalPct,
    faultEpisodes: record.faultEpisodes,
    alarmEpisodes: record.alarmEpisodes,
    threat: record.threat,
  };
}

/** The visit proposed for a stored detector. */
export function visitViewOf(detector: Detector, { label, siteId, siteName, result }: StoredDetector): VisitView {
  const { task, reason, cost, avoidedCost, netBenefit } = result.visit;
  return {
    detectorId: detector.detectorId,
    label,
    siteId,
    siteName,
    rank: result.rank,
    beam: beamViewOf(detector, result),
    task,
    reason,
    cost,
    avoidedCost,
    netBenefit,
    testOverdueDays: result.record.testOverdueDays,
  };
}

/** The visits of stored detectors in their order; a detector taken back since the run is left out. */
export async function visitViews(store: Store, rows: readonly StoredDetector[]): Promise<VisitView[]> {
  const found = await Promise.all(
    rows.map(async (row) => ({ row, detector: await findDetector(store, row.detectorId) })),
  );
  return found.flatMap(({ row, detector }) => (detector ? [visitViewOf(detector, row)] : []));
}
