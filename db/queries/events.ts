import { and, asc, eq, lt, max } from "drizzle-orm";
import type { Store } from "@/db/client";
import { detectors, events } from "@/db/schema/index";
import type { Event } from "@/lib/records/event";

/** Columns of an event as the product holds it; needs the join with its detector. */
export const eventColumns = {
  detectorId: detectors.detectorId,
  beganAt: events.beganAt,
  endedAt: events.endedAt,
  condition: events.condition,
  cause: events.cause,
  verdict: events.verdict,
};

/** Events that began before `until` (Instant), of one detector or of all, by detector id, then by beginning. */
export async function listEvents(
  store: Store,
  { until, detectorId }: { until: number; detectorId?: string },
): Promise<Event[]> {
  return store.db
    .select(eventColumns)
    .from(events)
    .innerJoin(detectors, eq(detectors.key, events.detectorKey))
    .where(and(lt(events.beganAt, until), detectorId === undefined ? undefined : eq(detectors.detectorId, detectorId)))
    .orderBy(asc(detectors.detectorId), asc(events.beganAt), asc(events.condition))
    .all();
}

/** Beginning (Instant) of the latest event; null when there is none. */
export async function latestEventAt(store: Store): Promise<number | null> {
  return (
    store.db
      .select({ at: max(events.beganAt) })
      .from(events)
      .get()?.at ?? null
  );
}
