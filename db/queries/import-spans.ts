import { and, asc, count, eq, gte, inArray, isNotNull, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { decodeSeries, decodeTimes } from "@/db/readings-codec";
import { detectors, imports, readingChunks, readingClaims, sites } from "@/db/schema/index";
import { checksumOf } from "@/db/varint";
import type { ReadingSeries } from "@/lib/records/reading";

/** The readings one import brought of one site: Instants of the first and the last, and how many are contested. */
export type StoredImportSpan = {
  readonly importId: number;
  readonly importedAt: number;
  readonly firstAt: number;
  readonly lastAt: number;
  readonly contested: number;
};

/** Claims that are read at most; a store with more is judged by some detectors of each site and its latest quarters. */
const MOST_CLAIMS = 200_000;
const LATEST_QUARTERS = 5;
const DETECTORS_AT_A_TIME = 100;

/**
 * What each standing import brought of each site, by site id, by first reading; sites without readings are missing.
 *
 * Where readings are sent one by one there are as many claims as readings: then a few detectors of each site stand for
 * it, over the last five quarters.
 */
export async function importSpansBySite(
  store: Store,
  { mostClaims = MOST_CLAIMS }: { mostClaims?: number } = {},
): Promise<Map<string, StoredImportSpan[]>> {
  const { keys, fromQuarter } = claimsToRead(store, mostClaims);
  const bySite = new Map<string, Map<number, StoredImportSpan>>();
  for (let from = 0; from < keys.length; from += DETECTORS_AT_A_TIME) {
    const claims = store.db
      .select({
        siteId: sites.siteId,
        importId: readingClaims.importId,
        importedAt: imports.importedAt,
        agreed: readingClaims.agreed,
        contested: readingClaims.contested,
        firstAt: readingChunks.firstAt,
        lastAt: readingChunks.lastAt,
      })
      .from(readingClaims)
      .innerJoin(imports, eq(imports.id, readingClaims.importId))
      .innerJoin(
        readingChunks,
        and(eq(readingChunks.detectorKey, readingClaims.detectorKey), eq(readingChunks.quarter, readingClaims.quarter)),
      )
      .innerJoin(detectors, eq(detectors.key, readingClaims.detectorKey))
      .innerJoin(sites, eq(sites.key, detectors.siteKey))
      .where(
        and(
          inArray(readingClaims.detectorKey, keys.slice(from, from + DETECTORS_AT_A_TIME)),
          gte(readingClaims.quarter, fromQuarter),
        ),
      )
      .all();
    for (const { siteId, agreed, contested, firstAt, lastAt, ...file } of claims) {
      const spans = bySite.get(siteId) ?? new Map<number, StoredImportSpan>();
      bySite.set(siteId, spans);
      const quarrel = contested ? seriesOf(contested).readAt : new Float64Array(0);
      // No bytes claim the whole chunk.
      const agreedTimes = agreed.length === 0 ? Float64Array.of(firstAt, lastAt) : decodeTimes(agreed);
      for (const times of [agreedTimes, quarrel]) addTimes(spans, file, times);
      const span = spans.get(file.importId);
      if (span && quarrel.length > 0) {
        spans.set(file.importId, { ...span, contested: span.contested + quarrel.length });
      }
    }
  }
  return new Map(
    [...bySite].map(([siteId, spans]) => [
      siteId,
      [...spans.values()].sort((a, b) => a.firstAt - b.firstAt || a.importId - b.importId),
    ]),
  );
}

/** What an import said of a detector where imports disagree, a quarter at a time, for at most `most` of each import and site. */
export async function* eachContested(
  store: Store,
  { most }: { most: number },
): AsyncGenerator<{ siteId: string; detectorId: string; importId: number; series: ReadingSeries }> {
  const names = store.db
    .select({
      siteId: sites.siteId,
      detectorId: detectors.detectorId,
      detectorKey: readingClaims.detectorKey,
      quarter: readingClaims.quarter,
      importId: readingClaims.importId,
    })
    .from(readingClaims)
    .innerJoin(detectors, eq(detectors.key, readingClaims.detectorKey))
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .where(isNotNull(readingClaims.contested))
    .orderBy(asc(readingClaims.importId), asc(sites.siteId), asc(detectors.detectorId), asc(readingClaims.quarter))
    .all();
  const given = new Map<string, number>();
  for (const { siteId, detectorId, detectorKey, quarter, importId } of names) {
    const group = `${importId} ${siteId}`;
    const before = given.get(group) ?? 0;
    if (before >= most) continue;
    given.set(group, before + 1);
    const claim = store.db
      .select({ contested: readingClaims.contested })
      .from(readingClaims)
      .where(
        and(
          eq(readingClaims.detectorKey, detectorKey),
          eq(readingClaims.quarter, quarter),
          eq(readingClaims.importId, importId),
        ),
      )
      .get();
    if (claim?.contested) yield { siteId, detectorId, importId, series: seriesOf(claim.contested) };
  }
}

function claimsToRead(store: Store, mostClaims: number): { keys: number[]; fromQuarter: number } {
  const rows = store.db
    .select({ key: detectors.key, siteKey: detectors.siteKey })
    .from(detectors)
    .orderBy(asc(detectors.siteKey), asc(detectors.key))
    .all();
  const total = store.db.select({ total: count() }).from(readingClaims).get()?.total ?? 0;
  if (total <= mostClaims) return { keys: rows.map(({ key }) => key), fromQuarter: 0 };
  const latest = store.db
    .select({ quarter: sql<number>`max(${readingClaims.quarter})`.mapWith(Number) })
    .from(readingClaims)
    .get();
  const siteCount = new Set(rows.map(({ siteKey }) => siteKey)).size;
  const ofEach = Math.max(1, Math.floor((rows.length / siteCount) * (mostClaims / total)));
  const taken = new Map<number, number>();
  const keys = rows.flatMap(({ key, siteKey }) => {
    const before = taken.get(siteKey) ?? 0;
    taken.set(siteKey, before + 1);
    return before < ofEach ? [key] : [];
  });
  return { keys, fromQuarter: (latest?.quarter ?? 0) - LATEST_QUARTERS + 1 };
}

function addTimes(
  spans: Map<number, StoredImportSpan>,
  { importId, importedAt }: { importId: number; importedAt: number },
  times: Float64Array,
): void {
  const first = times[0];
  const last = times[times.length - 1];
  if (first === undefined || last === undefined) return;
  const known = spans.get(importId);
  spans.set(importId, {
    importId,
    importedAt,
    firstAt: Math.min(known?.firstAt ?? first, first),
    lastAt: Math.max(known?.lastAt ?? last, last),
    contested: known?.contested ?? 0,
  });
}

function seriesOf(bytes: Buffer): ReadingSeries {
  return decodeSeries({ bytes, checksum: checksumOf(bytes) });
}
