import { and, asc, eq, lt, max } from "drizzle-orm";
import type { Store } from "@/db/client";
import { detectors, work } from "@/db/schema/index";
import type { Work } from "@/lib/records/work";

/** Columns of a work record as the product holds it; needs the join with its detector. */
export const workColumns = {
  detectorId: detectors.detectorId,
  doneAt: work.doneAt,
  task: work.task,
  result: work.result,
  signalBeforePct: work.signalBeforePct,
  signalAfterPct: work.signalAfterPct,
  durationMin: work.durationMin,
  reactive: work.reactive,
  told: work.told,
  interim: work.interim,
  note: work.note,
};

/** Work done before `until` (Instant), on one detector or on all, by detector id, then by time. */
export async function listWork(
  store: Store,
  { until, detectorId }: { until: number; detectorId?: string },
): Promise<Work[]> {
  return store.db
    .select(workColumns)
    .from(work)
    .innerJoin(detectors, eq(detectors.key, work.detectorKey))
    .where(and(lt(work.doneAt, until), detectorId === undefined ? undefined : eq(detectors.detectorId, detectorId)))
    .orderBy(asc(detectors.detectorId), asc(work.doneAt), asc(work.task))
    .all();
}

/** Moment (Instant) of the latest work; null when there is none. */
export async function latestWorkAt(store: Store): Promise<number | null> {
  return (
    store.db
      .select({ at: max(work.doneAt) })
      .from(work)
      .get()?.at ?? null
  );
}
