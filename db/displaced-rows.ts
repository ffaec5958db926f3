import { and, asc, eq, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { readingStore } from "@/db/reading-store";
import { detectors, events, readingChunks, readingClaims, readingDays, rowClaims, work } from "@/db/schema/index";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import type { Reading, ReadingSeries } from "@/lib/records/reading";

/** Rows of one kind that one import sent and that name a site or detector which is about to go. */
export type DisplacedRows = {
  readonly importId: number;
  readonly kind: "detectors" | "readings" | "events" | "work";
  readonly waitsFor: "site" | "detector";
  readonly waitsForId: string;
  readonly rows: readonly CanonicalRow[];
};

/** Takes every row of a detector out of the store, with all that any import said of it, and gives them import by import. */
export function* displaceRowsOf(unit: Store, detectorKey: number): Generator<DisplacedRows> {
  const waitsForId = unit.db
    .select({ detectorId: detectors.detectorId })
    .from(detectors)
    .where(eq(detectors.key, detectorKey))
    .get()?.detectorId;
  if (waitsForId === undefined) throw new RangeError(`no detector of key ${detectorKey}`);
  yield* displacedReadings(unit, { detectorKey, waitsForId });
  for (const kind of ["events", "work"] as const) yield* displacedRows(unit, { kind, detectorKey, waitsForId });
}

function* displacedReadings(
  unit: Store,
  { detectorKey, waitsForId }: { detectorKey: number; waitsForId: string },
): Generator<DisplacedRows> {
  const store = readingStore(unit);
  const quarters = unit.db
    .selectDistinct({ quarter: readingClaims.quarter })
    .from(readingClaims)
    .where(eq(readingClaims.detectorKey, detectorKey))
    .orderBy(asc(readingClaims.quarter))
    .all();
  for (const { quarter } of quarters) {
    const series = store.chunk({ detectorKey, quarter });
    const placeOf = new Map(Array.from(series.readAt, (at, place) => [at, place]));
    for (const { importId, agreed, contested } of store.claims({ detectorKey, quarter })) {
      const own = [...contested].map(([readAt, [signalPct, compensation, temperature]]) =>
        readingRow({ detectorId: waitsForId, readAt, signalPct, ...absentAsNull(compensation, temperature) }),
      );
      const shared = Array.from(agreed, (at) => readingAt(series, placeOf.get(at), waitsForId));
      const rows = [...shared, ...own];
      if (rows.length > 0) yield { importId, kind: "readings", waitsFor: "detector", waitsForId, rows };
    }
  }
  for (const table of [readingClaims, readingChunks, readingDays]) {
    unit.db.delete(table).where(eq(table.detectorKey, detectorKey)).run();
  }
}

function readingAt(series: ReadingSeries, place: number | undefined, detectorId: string): CanonicalRow {
  if (place === undefined) throw new Error(`damaged readings: a claim of detector ${detectorId} has no reading`);
  return readingRow({
    detectorId,
    readAt: series.readAt[place] ?? 0,
    signalPct: series.signalPct[place] ?? 0,
    ...absentAsNull(series.compensationPct[place], series.temperatureC[place]),
  });
}

function readingRow(record: Reading): CanonicalRow {
  return { kind: "readings", record };
}

function absentAsNull(compensation = Number.NaN, temperature = Number.NaN) {
  const orNull = (value: number) => (Number.isNaN(value) ? null : value);
  return { compensationPct: orNull(compensation), temperatureC: orNull(temperature) };
}

function* displacedRows(
  unit: Store,
  { kind, detectorKey, waitsForId }: { kind: "events" | "work"; detectorKey: number; waitsForId: string },
): Generator<DisplacedRows> {
  const table = kind === "events" ? events : work;
  const keys = unit.db.select({ key: table.key }).from(table).where(eq(table.detectorKey, detectorKey));
  const claims = unit.db
    .delete(rowClaims)
    .where(and(eq(rowClaims.kind, kind), sql`${rowClaims.rowKey} in ${keys}`))
    .returning({ key: rowClaims.key, importId: rowClaims.importId, row: rowClaims.row })
    .all()
    .toSorted((one, other) => one.key - other.key);
  for (const [importId, rows] of byImport(claims)) {
    yield { importId, kind, waitsFor: "detector", waitsForId, rows };
  }
  unit.db.delete(table).where(eq(table.detectorKey, detectorKey)).run();
}

/** Rows that imports sent, gathered by import in the order given. */
export function byImport<Row>(claims: readonly { importId: number; row: Row }[]): Map<number, Row[]> {
  const gathered = new Map<number, Row[]>();
  for (const { importId, row } of claims) {
    const known = gathered.get(importId);
    if (known) known.push(row);
    else gathered.set(importId, [row]);
  }
  return gathered;
}
