import { eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import {
  foldReadings,
  mergeReadings,
  type ReadingClaim,
  type ReadingConflict,
  type SentReadings,
} from "@/db/reading-merge";
import { quarterOf, readingStore, startOfQuarter } from "@/db/reading-store";
import { readingClaims } from "@/db/schema/index";
import type { Reading, ReadingSeries } from "@/lib/records/reading";

/** What became of readings that were flushed, and the conflicts among them. */
export type ReadingTally = { accepted: number; duplicates: number; conflicts: ReadingConflictOf[] };

/** A conflict with the detector it belongs to. */
export type ReadingConflictOf = ReadingConflict & { readonly detectorId: string };

/** Gathers the readings of one file and merges them into their chunks in portions. */
export type ReadingWriter = {
  /** Adds a reading; true when so many are gathered that a flush is due. */
  add(detectorKey: number, reading: Reading, line: number): boolean;
  /** Merges what was gathered; what became of it. */
  flush(): ReadingTally;
};

/** Readings gathered before their chunks are rewritten: enough to touch a chunk seldom, few enough for 50 MB. */
const PORTION = 500_000;

/** The writer of the readings of one import. */
export function readingWriter(
  unit: Store,
  { importId, replaces }: { importId: number; replaces: boolean },
): ReadingWriter {
  const store = readingStore(unit);
  const gathered = new Map<number, Gathered>();
  let total = 0;
  const mergeChunk = (name: { detectorKey: number; quarter: number }, sent: SentReadings) => {
    const claims = store.claims(name);
    const known = claims.find((claim) => claim.importId === importId);
    const own: ReadingClaim = known ?? { importId, replaces, agreed: new Float64Array(0), contested: new Map() };
    const all = known ? claims : [...claims, own];
    const merge = mergeReadings(store.chunk(name), { sent, claims: all, own });
    if (merge.accepted > 0 || merge.conflicts.some((one) => one.replaced)) store.saveChunk(name, merge.series);
    for (const claim of merge.changedClaims) store.saveClaim(name, claim);
    return merge;
  };
  return {
    add(detectorKey, reading, line) {
      const one = gathered.get(detectorKey) ?? new Gathered(reading.detectorId);
      if (one.length === 0) gathered.set(detectorKey, one);
      one.add(reading, line);
      total += 1;
      return total >= PORTION;
    },
    flush() {
      const tally: ReadingTally = { accepted: 0, duplicates: 0, conflicts: [] };
      for (const [detectorKey, one] of gathered) {
        const changed: { quarter: number; series: ReadingSeries }[] = [];
        for (const { quarter, sent } of one.byQuarter()) {
          const merge = mergeChunk({ detectorKey, quarter }, sent);
          tally.accepted += merge.accepted;
          tally.duplicates += merge.duplicates;
          for (const conflict of merge.conflicts) tally.conflicts.push({ ...conflict, detectorId: one.detectorId });
          changed.push({ quarter, series: merge.series });
        }
        store.derive(detectorKey, changed);
      }
      gathered.clear();
      total = 0;
      return tally;
    },
  };
}

/** Takes back all readings an import brought; a reading another import also sent stays as that one left it. */
export function withdrawReadings(unit: Store, importId: number): void {
  const store = readingStore(unit);
  const mine = unit.db
    .delete(readingClaims)
    .where(eq(readingClaims.importId, importId))
    .returning({ detectorKey: readingClaims.detectorKey, quarter: readingClaims.quarter })
    .all();
  const byDetector = new Map<number, (typeof mine)[number][]>();
  for (const name of mine) byDetector.set(name.detectorKey, [...(byDetector.get(name.detectorKey) ?? []), name]);
  for (const [detectorKey, names] of byDetector) {
    const changed = names.map((name) => {
      const series = foldReadings(store.chunk(name), store.claims(name));
      store.saveChunk(name, series);
      return { quarter: name.quarter, series };
    });
    store.derive(detectorKey, changed);
  }
}

/** Imports that still vouch for readings of a detector, by id. */
export function importsWithReadingsOf(unit: Store, detectorKey: number): number[] {
  const rows = unit.db
    .selectDistinct({ importId: readingClaims.importId })
    .from(readingClaims)
    .where(eq(readingClaims.detectorKey, detectorKey))
    .all();
  return rows.map((row) => row.importId);
}

/** The readings of one detector as they were sent, in columns that grow. */
class Gathered {
  length = 0;
  private rising = true;
  private columns = [0, 1, 2, 3, 4].map(() => new Float64Array(256));

  constructor(readonly detectorId: string) {}

  add(reading: Reading, line: number): void {
    if (this.length === this.columns[0]?.length) this.columns = this.columns.map(doubled);
    const [readAt, signal, compensation, temperature, lines] = this.columns;
    if (!readAt || !signal || !compensation || !temperature || !lines) return;
    if (this.length > 0 && reading.readAt < (readAt[this.length - 1] ?? 0)) this.rising = false;
    readAt[this.length] = reading.readAt;
    signal[this.length] = reading.signalPct;
    compensation[this.length] = reading.compensationPct ?? Number.NaN;
    temperature[this.length] = reading.temperatureC ?? Number.NaN;
    lines[this.length] = line;
    this.length += 1;
  }

  /** The readings by time, cut into quarters; equal times stay in the order in which they came. */
  *byQuarter(): Generator<{ quarter: number; sent: SentReadings }> {
    const [readAt, signalPct, compensationPct, temperatureC, line] = this.sorted();
    if (!readAt || !signalPct || !compensationPct || !temperatureC || !line) return;
    for (let from = 0; from < this.length; ) {
      const quarter = quarterOf(readAt[from] ?? 0);
      const endAt = startOfQuarter(quarter + 1);
      let to = from + 1;
      while (to < this.length && (readAt[to] ?? 0) < endAt) to += 1;
      const part = (column: Float64Array) => column.subarray(from, to);
      const values = { signalPct: part(signalPct), compensationPct: part(compensationPct) };
      yield {
        quarter,
        sent: { readAt: part(readAt), ...values, temperatureC: part(temperatureC), line: part(line) },
      };
      from = to;
    }
  }

  private sorted(): Float64Array[] {
    const used = this.columns.map((column) => column.subarray(0, this.length));
    const [readAt] = used;
    if (this.rising || !readAt) return used;
    const order = Uint32Array.from({ length: this.length }, (_, index) => index);
    order.sort((one, other) => (readAt[one] ?? 0) - (readAt[other] ?? 0) || one - other);
    return used.map((column) => Float64Array.from(order, (index) => column[index] ?? 0));
  }
}

function doubled(column: Float64Array): Float64Array<ArrayBuffer> {
  const larger = new Float64Array(column.length * 2);
  larger.set(column);
  return larger;
}
