import { and, asc, eq, gte, lt, max } from "drizzle-orm";
import type { Store } from "@/db/client";
import { daysOf, decodeDays, emptyDays, type ReadingDays } from "@/db/reading-days";
import { decodeSeries } from "@/db/readings-codec";
import { detectors, readingChunks, readingDays, sites } from "@/db/schema/index";
import { countBelow } from "@/lib/kernel/sorted";
import type { ReadingSeries } from "@/lib/records/reading";

/** Readings of one detector with `from <= readAt < until` (Instants), oldest first; an empty series when there are none. */
export async function readReadings(
  store: Store,
  { detectorId, from = -Infinity, until }: { detectorId: string; from?: number; until: number },
): Promise<ReadingSeries> {
  const detector = store.db
    .select({ key: detectors.key })
    .from(detectors)
    .where(eq(detectors.detectorId, detectorId))
    .get();
  return detector ? seriesOf(store, { detectorKey: detector.key, from, until }) : joined([]);
}

/**
 * The readings before `until` (Instant) of every detector that has any, in the order of their ids.
 *
 * One detector is decoded at a time, so memory does not grow with the fleet.
 */
export async function* eachSeries(
  store: Store,
  { until }: { until: number },
): AsyncGenerator<{ detectorId: string; series: ReadingSeries }> {
  const all = store.db
    .select({ key: detectors.key, detectorId: detectors.detectorId })
    .from(detectors)
    .innerJoin(readingDays, eq(readingDays.detectorKey, detectors.key))
    .orderBy(asc(detectors.detectorId))
    .all();
  for (const { key, detectorId } of all) {
    const series = seriesOf(store, { detectorKey: key, from: -Infinity, until });
    if (series.readAt.length > 0) yield { detectorId, series };
  }
}

/** The days of one detector's readings, for pictures; empty when it has none. */
export async function readDays(store: Store, { detectorId }: { detectorId: string }): Promise<ReadingDays> {
  const found = store.db
    .select({ key: detectors.key, bytes: readingDays.bytes, checksum: readingDays.checksum })
    .from(readingDays)
    .innerJoin(detectors, eq(detectors.key, readingDays.detectorKey))
    .where(eq(detectors.detectorId, detectorId))
    .get();
  if (!found) return emptyDays();
  if (found.bytes.length > 0) return decodeDays(found);
  // Few readings a day: their days are not stored.
  return daysOf(seriesOf(store, { detectorKey: found.key, from: -Infinity, until: Infinity }));
}

/** The Instant of the latest reading of each site that has any, by site id. */
export async function latestReadingAtBySite(store: Store): Promise<Map<string, number>> {
  const rows = store.db
    .select({ siteId: sites.siteId, latestAt: max(readingDays.latestAt) })
    .from(readingDays)
    .innerJoin(detectors, eq(detectors.key, readingDays.detectorKey))
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .groupBy(sites.siteId)
    .all();
  return new Map(rows.flatMap(({ siteId, latestAt }) => (latestAt === null ? [] : [[siteId, latestAt] as const])));
}

function seriesOf(
  store: Store,
  { detectorKey, from, until }: { detectorKey: number; from: number; until: number },
): ReadingSeries {
  const chunks = store.db
    .select({ bytes: readingChunks.bytes, checksum: readingChunks.checksum })
    .from(readingChunks)
    .where(
      and(
        eq(readingChunks.detectorKey, detectorKey),
        until === Infinity ? undefined : lt(readingChunks.firstAt, until),
        from === -Infinity ? undefined : gte(readingChunks.lastAt, from),
      ),
    )
    .orderBy(asc(readingChunks.quarter))
    .all();
  return within(joined(chunks.map(decodeSeries)), { from, until });
}

function joined(parts: readonly ReadingSeries[]): ReadingSeries {
  const length = parts.reduce((total, part) => total + part.readAt.length, 0);
  const column = (name: keyof ReadingSeries) => {
    const values = new Float64Array(length);
    let at = 0;
    for (const part of parts) {
      values.set(part[name], at);
      at += part.readAt.length;
    }
    return values;
  };
  return {
    readAt: column("readAt"),
    signalPct: column("signalPct"),
    compensationPct: column("compensationPct"),
    temperatureC: column("temperatureC"),
  };
}

function within(series: ReadingSeries, { from, until }: { from: number; until: number }): ReadingSeries {
  const first = countBelow(series.readAt, from);
  const end = countBelow(series.readAt, until);
  const cut = (values: Float64Array) => values.subarray(first, end);
  return {
    readAt: cut(series.readAt),
    signalPct: cut(series.signalPct),
    compensationPct: cut(series.compensationPct),
    temperatureC: cut(series.temperatureC),
  };
}
