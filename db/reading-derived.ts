import { and, asc, eq, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import {
  areFew,
  daysOf,
  decodeDays,
  emptyDays,
  encodeDays,
  noDays,
  type ReadingDays,
  replaceDays,
} from "@/db/reading-days";
import { startOfQuarter } from "@/db/reading-store";
import { type Coded, decodeSeries, decodeSeriesTimes } from "@/db/readings-codec";
import { readingChunks, readingDays } from "@/db/schema/index";
import { DAY_MS } from "@/lib/kernel/units";
import { emptySeries, type ReadingSeries } from "@/lib/records/reading";

/** Keeps what is derived of each detector's chunks, its days and its latest reading, true to them. */
export type DerivedReadings = {
  /** Notes that a chunk changed. */
  note(detectorKey: number, quarter: number): void;
  /** Rewrites what is derived of the detectors noted; once an import, since it costs as much as storing a chunk. */
  settle(): void;
};

/** What is derived in a unit. */
export function derivedReadings(unit: Store): DerivedReadings {
  const changed = new Map<number, Set<number>>();
  const statements = statementsOf(unit);
  return {
    note(detectorKey, quarter) {
      const known = changed.get(detectorKey);
      if (known) known.add(quarter);
      else changed.set(detectorKey, new Set([quarter]));
    },
    settle() {
      for (const [detectorKey, quarters] of changed) derive(statements, detectorKey, quarters);
      changed.clear();
    },
  };
}

/** A chunk of a detector; its bytes where all chunks are needed. */
type StoredChunk = { readonly quarter: number; readonly count: number } & Partial<Coded>;

type Statements = ReturnType<typeof statementsOf>;

function derive(statements: Statements, detectorKey: number, changed: ReadonlySet<number>): void {
  const stored = statements.days.get({ detectorKey });
  // Without stored days they are those of all chunks.
  const known = stored && stored.bytes.length > 0 ? decodeDays(stored) : null;
  const chunks: readonly StoredChunk[] = known
    ? statements.chunks.all({ detectorKey })
    : statements.wholeChunks.all({ detectorKey });
  const last = chunks[chunks.length - 1];
  if (!last) {
    statements.remove.run({ detectorKey });
    return;
  }
  const series = seriesReader(statements, { detectorKey, chunks });
  const readings = chunks.reduce((total, { count }) => total + count, 0);
  const write = ({ bytes, checksum }: Coded) => {
    const coded = { checksum, bytes: Buffer.from(bytes) };
    statements.save.run({ detectorKey, ...lastReading(series(last.quarter)), ...coded });
  };
  if (!known && areFew(readings, countDays(chunks))) {
    write(noDays());
    return;
  }
  const renewed = known ? [...changed] : chunks.map((chunk) => chunk.quarter);
  const days = renewed.reduce((all, quarter) => withChunk(all, quarter, series(quarter)), known ?? emptyDays());
  write(areFew(readings, days.startAt.length) ? noDays() : encodeDays(days));
}

/** How many days the chunks have readings on. */
function countDays(chunks: readonly StoredChunk[]): number {
  let days = 0;
  for (const { bytes, checksum } of chunks) {
    if (bytes === undefined || checksum === undefined) continue;
    let endAt = -Infinity;
    for (const at of decodeSeriesTimes({ bytes, checksum })) {
      if (at < endAt) continue;
      days += 1;
      endAt = (Math.floor(at / DAY_MS) + 1) * DAY_MS;
    }
  }
  return days;
}

/** Decodes chunks of a detector; the one decoded last is kept, as it is often the latest of all. */
function seriesReader(
  { chunk }: Statements,
  { detectorKey, chunks }: { detectorKey: number; chunks: readonly StoredChunk[] },
): (quarter: number) => ReadingSeries {
  let kept: { quarter: number; series: ReadingSeries } | null = null;
  return (quarter) => {
    if (kept?.quarter === quarter) return kept.series;
    const { bytes, checksum } = chunks.find((one) => one.quarter === quarter) ?? {};
    const found =
      bytes === undefined || checksum === undefined ? chunk.get({ detectorKey, quarter }) : { bytes, checksum };
    kept = { quarter, series: found ? decodeSeries(found) : emptySeries() };
    return kept.series;
  };
}

const { placeholder } = sql;

function statementsOf({ db }: Store) {
  const ofDetector = eq(readingChunks.detectorKey, placeholder("detectorKey"));
  const values = {
    latestAt: placeholder("latestAt"),
    latestSignalPct: placeholder("latestSignalPct"),
    latestCompensationPct: placeholder("latestCompensationPct"),
    latestTemperatureC: placeholder("latestTemperatureC"),
    checksum: placeholder("checksum"),
    bytes: placeholder("bytes"),
  };
  const set = {
    latestAt: sql`excluded.latest_at`,
    latestSignalPct: sql`excluded.latest_signal_pct`,
    latestCompensationPct: sql`excluded.latest_compensation_pct`,
    latestTemperatureC: sql`excluded.latest_temperature_c`,
    checksum: sql`excluded.checksum`,
    bytes: sql`excluded.bytes`,
  };
  return {
    chunks: db
      .select({ quarter: readingChunks.quarter, count: readingChunks.count })
      .from(readingChunks)
      .where(ofDetector)
      .orderBy(asc(readingChunks.quarter))
      .prepare(),
    wholeChunks: db
      .select({
        quarter: readingChunks.quarter,
        count: readingChunks.count,
        bytes: readingChunks.bytes,
        checksum: readingChunks.checksum,
      })
      .from(readingChunks)
      .where(ofDetector)
      .orderBy(asc(readingChunks.quarter))
      .prepare(),
    chunk: db
      .select({ bytes: readingChunks.bytes, checksum: readingChunks.checksum })
      .from(readingChunks)
      .where(and(ofDetector, eq(readingChunks.quarter, placeholder("quarter"))))
      .prepare(),
    days: db
      .select({ bytes: readingDays.bytes, checksum: readingDays.checksum })
      .from(readingDays)
      .where(eq(readingDays.detectorKey, placeholder("detectorKey")))
      .prepare(),
    remove: db
      .delete(readingDays)
      .where(eq(readingDays.detectorKey, placeholder("detectorKey")))
      .prepare(),
    save: db
      .insert(readingDays)
      .values({ detectorKey: placeholder("detectorKey"), ...values })
      .onConflictDoUpdate({ target: readingDays.detectorKey, set })
      .prepare(),
  };
}

function withChunk(days: ReadingDays, quarter: number, series: ReadingSeries): ReadingDays {
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
