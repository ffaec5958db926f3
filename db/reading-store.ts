import { and, asc, desc, eq, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { daysOf, decodeDays, emptyDays, encodeDays, type ReadingDays, replaceDays } from "@/db/reading-days";
import { mapOfSeries, type ReadingClaim, seriesOfMap } from "@/db/reading-merge";
import { decodeSeries, decodeTimes, encodeSeries, encodeTimes } from "@/db/readings-codec";
import { imports, readingChunks, readingClaims, readingDays } from "@/db/schema/index";
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

/** Chunks, claims and days of a unit, behind prepared statements. */
export type ReadingStore = {
  chunk(name: ChunkName): ReadingSeries;
  saveChunk(name: ChunkName, series: ReadingSeries): void;
  claims(name: ChunkName): ReadingClaim[];
  saveClaim(name: ChunkName, claim: ReadingClaim): void;
  /** Rewrites what is derived of a detector from its chunks that changed; an empty chunk is one that is gone. */
  derive(detectorKey: number, changed: readonly { quarter: number; series: ReadingSeries }[]): void;
};

/** The reading store of a unit. */
export function readingStore(unit: Store): ReadingStore {
  return { ...chunkStore(unit), ...claimStore(unit), derive: deriver(unit) };
}

const { placeholder } = sql;

function chunkStore({ db }: Store): Pick<ReadingStore, "chunk" | "saveChunk"> {
  const here = and(
    eq(readingChunks.detectorKey, placeholder("detectorKey")),
    eq(readingChunks.quarter, placeholder("quarter")),
  );
  const find = db.select().from(readingChunks).where(here).prepare();
  const remove = db.delete(readingChunks).where(here).prepare();
  const save = db
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
  return {
    chunk(name) {
      const found = find.get(name);
      return found ? decodeSeries(found) : emptySeries();
    },
    saveChunk(name, series) {
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
      save.run({ ...name, ...range, count, firstAt, lastAt, checksum, bytes: Buffer.from(bytes) });
    },
  };
}

function claimStore({ db }: Store): Pick<ReadingStore, "claims" | "saveClaim"> {
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
    claims: (name) =>
      find.all(name).map(({ importId, replaces, agreed, contested }) => ({
        importId,
        replaces,
        agreed: decodeTimes(agreed),
        contested: contested
          ? mapOfSeries(decodeSeries({ bytes: contested, checksum: checksumOf(contested) }))
          : new Map(),
      })),
    saveClaim(name, claim) {
      const contested = claim.contested.size > 0 ? encodeSeries(seriesOfMap(claim.contested)).bytes : null;
      save.run({
        ...name,
        importId: claim.importId,
        agreed: Buffer.from(encodeTimes(claim.agreed)),
        contested: contested ? Buffer.from(contested) : null,
      });
    },
  };
}

function deriver({ db }: Store): ReadingStore["derive"] {
  const find = db
    .select({ bytes: readingDays.bytes, checksum: readingDays.checksum })
    .from(readingDays)
    .where(eq(readingDays.detectorKey, placeholder("detectorKey")))
    .prepare();
  const last = db
    .select({ quarter: readingChunks.quarter, bytes: readingChunks.bytes, checksum: readingChunks.checksum })
    .from(readingChunks)
    .where(eq(readingChunks.detectorKey, placeholder("detectorKey")))
    .orderBy(desc(readingChunks.quarter))
    .limit(1)
    .prepare();
  const remove = db
    .delete(readingDays)
    .where(eq(readingDays.detectorKey, placeholder("detectorKey")))
    .prepare();
  const save = db
    .insert(readingDays)
    .values({
      detectorKey: placeholder("detectorKey"),
      latestAt: placeholder("latestAt"),
      latestSignalPct: placeholder("latestSignalPct"),
      latestCompensationPct: placeholder("latestCompensationPct"),
      latestTemperatureC: placeholder("latestTemperatureC"),
      checksum: placeholder("checksum"),
      bytes: placeholder("bytes"),
    })
    .onConflictDoUpdate({
      target: readingDays.detectorKey,
      set: {
        latestAt: sql`excluded.latest_at`,
        latestSignalPct: sql`excluded.latest_signal_pct`,
        latestCompensationPct: sql`excluded.latest_compensation_pct`,
        latestTemperatureC: sql`excluded.latest_temperature_c`,
        checksum: sql`excluded.checksum`,
        bytes: sql`excluded.bytes`,
      },
    })
    .prepare();
  return (detectorKey, changed) => {
    const latest = last.get({ detectorKey });
    if (!latest) {
      remove.run({ detectorKey });
      return;
    }
    const stored = find.get({ detectorKey });
    const days = changed.reduce(withChunk, stored ? decodeDays(stored) : emptyDays());
    const known = changed.find((one) => one.quarter === latest.quarter)?.series ?? decodeSeries(latest);
    const { bytes, checksum } = encodeDays(days);
    const values = { ...lastReading(known), checksum, bytes: Buffer.from(bytes) };
    save.run({ detectorKey, ...values });
  };
}

function withChunk(days: ReadingDays, { quarter, series }: { quarter: number; series: ReadingSeries }): ReadingDays {
  const span = { from: startOfQuarter(quarter), until: startOfQuarter(quarter + 1) };
  return replaceDays(days, { days: daysOf(series), ...span });
}

function lastReading(series: ReadingSeries) {
  const last = series.readAt.length - 1;
  const orNull = (value: number | undefined) => (value === undefined || Number.isNaN(value) ? null : value);
  return {
    latestAt: series.readAt[last] ?? 0,
    latestSignalPct: series.signalPct[last] ?? 0,
    latestCompensationPct: orNull(series.compensationPct[last]),
    latestTemperatureC: orNull(series.temperatureC[last]),
  };
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
