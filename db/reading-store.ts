import { and, asc, eq, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { mapOfSeries, type ReadingClaim, seriesOfMap } from "@/db/reading-merge";
import { decodeSeries, decodeTimes, encodeSeries, encodeTimes } from "@/db/readings-codec";
import { imports, readingChunks, readingClaims } from "@/db/schema/index";
import { checksumOf } from "@/db/varint";
import { emptySeries, type ReadingSeries } from "@/lib/records/reading";

/** Number of the quarter of a UTC year in which an Instant lies: 4 × year + 0..3. */
export function quarterOf(at: number): number {
  const date = new Date(at);
  return date.getUTCFullYear() * 4 + Math.floor(date.getUTCMonth() / 3);
}

/** Instant at which a quarter begins. */
export function startOfQuarter(quarter: number): number {
  return Date.UTC(Math.floor(quarter / 4), (quarter % 4) * 3, 1);
}

/** Which chunk: a detector's key and a quarter. */
export type ChunkName = { readonly detectorKey: number; readonly quarter: number };

/** A chunk with all that was said of it, in the order in which imports spoke. */
export type ClaimedChunk = { readonly series: ReadingSeries; readonly claims: ReadingClaim[] };

/** Chunks and claims of a unit, behind prepared statements. */
export type ReadingStore = {
  chunk(name: ChunkName): ReadingSeries;
  claims(name: ChunkName): ReadingClaim[];
  load(name: ChunkName): ClaimedChunk;
  /** The quarters of which a detector has chunks. */
  quartersOf(detectorKey: number): Set<number>;
  /** Stores a chunk in the place of `before`, as it was loaded, with its claims as far as they changed. */
  save(
    name: ChunkName,
    change: { before: ClaimedChunk; after: ClaimedChunk; changed: ReadonlySet<ReadingClaim> },
  ): void;
};

/** The reading store of a unit. */
export function readingStore(unit: Store): ReadingStore {
  const chunks = chunkStore(unit);
  const claims = claimStore(unit);
  const load = (name: ChunkName) => {
    const series = chunks.chunk(name);
    return { series, claims: claims.list(name, series.readAt) };
  };
  return {
    chunk: chunks.chunk,
    claims: (name) => load(name).claims,
    load,
    quartersOf: chunks.quartersOf,
    save(name, { before, after, changed }) {
      if (after.series !== before.series) chunks.save(name, after.series);
      const times = after.series.readAt;
      const sameTimes = after.series === before.series || sameAs(times, before.series.readAt);
      for (const claim of after.claims) {
        // 'The whole chunk' changes its meaning with the chunk, in either direction.
        if (changed.has(claim) || !sameTimes) claims.save(name, { claim, times });
      }
    },
  };
}

const { placeholder } = sql;

function chunkStore({ db }: Store) {
  const here = and(
    eq(readingChunks.detectorKey, placeholder("detectorKey")),
    eq(readingChunks.quarter, placeholder("quarter")),
  );
  const find = db
    .select({ bytes: readingChunks.bytes, checksum: readingChunks.checksum })
    .from(readingChunks)
    .where(here)
    .prepare();
  const quarters = db
    .select({ quarter: readingChunks.quarter })
    .from(readingChunks)
    .where(eq(readingChunks.detectorKey, placeholder("detectorKey")))
    .prepare();
  const remove = db.delete(readingChunks).where(here).prepare();
  const save = savingChunk(db);
  return {
    chunk(name: ChunkName): ReadingSeries {
      const found = find.get(name);
      return found ? decodeSeries(found) : emptySeries();
    },
    quartersOf: (detectorKey: number) => new Set(quarters.all({ detectorKey }).map(({ quarter }) => quarter)),
    save(name: ChunkName, series: ReadingSeries): void {
      const count = series.readAt.length;
      if (count === 0) {
        remove.run(name);
        return;
      }
      const { bytes, checksum } = encodeSeries(series);
      const firstAt = series.readAt[0] ?? 0;
      const lastAt = series.readAt[count - 1] ?? 0;
      const { min, max } = rangeOf(series.signalPct);
      const range = { minSignalPct: min, maxSignalPct: max };
      save.run({ ...name, ...range, count, firstAt, lastAt, checksum, bytes: asBuffer(bytes) });
    },
  };
}

function savingChunk(db: Store["db"]) {
  return db
    .insert(readingChunks)
    .values({
      detectorKey: placeholder("detectorKey"),
      quarter: placeholder("quarter"),
      count: placeholder("count"),
      firstAt: placeholder("firstAt"),
      lastAt: placeholder("lastAt"),
      minSignalPct: placeholder("minSignalPct"),
      maxSignalPct: placeholder("maxSignalPct"),
      checksum: placeholder("checksum"),
      bytes: placeholder("bytes"),
    })
    .onConflictDoUpdate({
      target: [readingChunks.detectorKey, readingChunks.quarter],
      set: {
        count: sql`excluded.count`,
        firstAt: sql`excluded.first_at`,
        lastAt: sql`excluded.last_at`,
        minSignalPct: sql`excluded.min_signal_pct`,
        maxSignalPct: sql`excluded.max_signal_pct`,
        checksum: sql`excluded.checksum`,
        bytes: sql`excluded.bytes`,
      },
    })
    .prepare();
}

/** A claim to all of its chunk is stored as no bytes; its times are those of the chunk. */
function claimStore({ db }: Store) {
  const find = db
    .select({
      importId: readingClaims.importId,
      replaces: imports.replaces,
      agreed: readingClaims.agreed,
      contested: readingClaims.contested,
    })
    .from(readingClaims)
    .innerJoin(imports, eq(imports.id, readingClaims.importId))
    .where(
      and(eq(readingClaims.detectorKey, placeholder("detectorKey")), eq(readingClaims.quarter, placeholder("quarter"))),
    )
    .orderBy(asc(readingClaims.importId))
    .prepare();
  const save = db
    .insert(readingClaims)
    .values({
      detectorKey: placeholder("detectorKey"),
      quarter: placeholder("quarter"),
      importId: placeholder("importId"),
      agreed: placeholder("agreed"),
      contested: placeholder("contested"),
    })
    .onConflictDoUpdate({
      target: [readingClaims.detectorKey, readingClaims.quarter, readingClaims.importId],
      set: { agreed: sql`excluded.agreed`, contested: sql`excluded.contested` },
    })
    .prepare();
  return {
    list: (name: ChunkName, times: Float64Array): ReadingClaim[] =>
      find.all(name).map(({ importId, replaces, agreed, contested }) => ({
        importId,
        replaces,
        agreed: agreed.length === 0 ? times : decodeTimes(agreed),
        contested: contested
          ? mapOfSeries(decodeSeries({ bytes: contested, checksum: checksumOf(contested) }))
          : new Map(),
      })),
    save(name: ChunkName, { claim, times }: { claim: ReadingClaim; times: Float64Array }): void {
      const whole = sameAs(claim.agreed, times);
      const contested = claim.contested.size > 0 ? encodeSeries(seriesOfMap(claim.contested)).bytes : null;
      save.run({
        ...name,
        importId: claim.importId,
        agreed: whole ? Buffer.alloc(0) : asBuffer(encodeTimes(claim.agreed)),
        contested: contested ? asBuffer(contested) : null,
      });
    },
  };
}

function sameAs(one: Float64Array, other: Float64Array): boolean {
  if (one === other) return true;
  if (one.length !== other.length) return false;
  for (let index = 0; index < one.length; index += 1) if (one[index] !== other[index]) return false;
  return true;
}

function asBuffer(bytes: Uint8Array): Buffer {
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function rangeOf(values: Float64Array): { min: number; max: number } {
  let min = Infinity;
  let max = -Infinity;
  for (const value of values) {
    if (value < min) min = value;
    if (value > max) max = value;
  }
  return { min, max };
}
