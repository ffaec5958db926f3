import { eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import { GatheredReadings } from "@/db/gathered-readings";
import { derivedReadings } from "@/db/reading-derived";
import {
  foldReadings,
  mergeReadings,
  type ReadingClaim,
  type ReadingConflict,
  type SentReadings,
  settleClaims,
} from "@/db/reading-merge";
import { type ChunkName, type ClaimedChunk, readingStore } from "@/db/reading-store";
import { detectors, readingClaims } from "@/db/schema/index";
import { emptySeries, type Reading } from "@/lib/records/reading";
import type { ReadingRows } from "@/lib/records/reading-rows";

/** What became of readings that were flushed, and the conflicts among them. */
export type ReadingTally = { accepted: number; duplicates: number; conflicts: ReadingConflictOf[] };

/** A conflict with the detector it belongs to. */
export type ReadingConflictOf = ReadingConflict & { readonly detectorId: string };

/** Gathers the readings of one file and merges them into their chunks in portions. */
export type ReadingWriter = {
  /** Adds a reading; true when so many are gathered that a flush is due. */
  add(detectorKey: number, reading: Reading, line: number): boolean;
  /** Adds rows from the one at `from` on, as many as there is room for; how many, and whether a flush is due. */
  addRows(rows: ReadingRows, from: number): { added: number; full: boolean };
  /** Merges what was gathered; what became of it. The last flush of a file also renews what is derived. */
  flush(options?: { last?: boolean }): ReadingTally;
};

/** Readings gathered before their chunks are written: enough to touch a chunk seldom, few enough for 80 MB. */
const PORTION = 1_000_000;

/** The writer of the readings of one import. */
export function readingWriter(
  unit: Store,
  { importId, replaces }: { importId: number; replaces: boolean },
): ReadingWriter {
  const store = readingStore(unit);
  const derived = derivedReadings(unit);
  const gathered = new GatheredReadings(PORTION);
  const idOf = detectorIds(unit);
  const mergeChunk = (name: ChunkName, sent: SentReadings, before: ClaimedChunk) => {
    const known = before.claims.find((claim) => claim.importId === importId);
    const own: ReadingClaim = known ?? { importId, replaces, agreed: new Float64Array(0), contested: new Map() };
    const claims = known ? before.claims : [...before.claims, own];
    const merge = mergeReadings(before.series, { sent, claims, own });
    const series = merge.accepted > 0 || merge.conflicts.some((one) => one.replaced) ? merge.series : before.series;
    store.save(name, { before, after: { series, claims }, changed: merge.changedClaims });
    if (series !== before.series) derived.note(name.detectorKey, name.quarter);
    return merge;
  };
  return {
    add: (detectorKey, reading, line) => gathered.add(detectorKey, reading, line),
    addRows: (rows, from) => ({ added: gathered.addRows(rows, from), full: gathered.isFull() }),
    flush({ last = false } = {}) {
      const tally: ReadingTally = { accepted: 0, duplicates: 0, conflicts: [] };
      for (const { detectorKey, quarters } of gathered.take()) {
        const stored = store.quartersOf(detectorKey);
        for (const { quarter, sent } of quarters) {
          const name = { detectorKey, quarter };
          const merge = mergeChunk(name, sent, stored.has(quarter) ? store.load(name) : nothingYet());
          tally.accepted += merge.accepted;
          tally.duplicates += merge.duplicates;
          for (const conflict of merge.conflicts) tally.conflicts.push({ ...conflict, detectorId: idOf(detectorKey) });
        }
      }
      if (last) derived.settle();
      return tally;
    },
  };
}

function nothingYet(): ClaimedChunk {
  return { series: emptySeries(), claims: [] };
}

/** The users' ids of detectors by key, for the few that conflicts name. */
function detectorIds({ db }: Store): (detectorKey: number) => string {
  const known = new Map<number, string>();
  return (key) => {
    const found =
      known.get(key) ?? db.select({ id: detectors.detectorId }).from(detectors).where(eq(detectors.key, key)).get()?.id;
    if (found === undefined) throw new RangeError(`no detector of key ${key}`);
    known.set(key, found);
    return found;
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
  const derived = derivedReadings(unit);
  for (const name of mine) {
    const before = store.load(name);
    const series = foldReadings(before.series, before.claims);
    const changed = settleClaims(before.claims);
    store.save(name, { before, after: { series, claims: before.claims }, changed });
    derived.note(name.detectorKey, name.quarter);
  }
  derived.settle();
}
