import { eq } from "drizzle-orm";
import type { Store } from "@/db/client";
import { byImport, type DisplacedRows, displaceRowsOf } from "@/db/displaced-rows";
import { withdrawReadings } from "@/db/reading-writer";
import { type RowWriter, rowWriter } from "@/db/row-writer";
import { sites } from "@/db/schema/index";

/**
 * Takes back all an import said.
 *
 * Rows of other imports that name a site or detector which nobody but it brought leave the store too: they are given to
 * `onDisplaced`, which keeps them waiting, as they would be had the import never been made.
 */
export async function withdrawImport(
  unit: Store,
  importId: number,
  { onDisplaced }: { onDisplaced: (rows: DisplacedRows) => Promise<void> },
): Promise<void> {
  const writer = rowWriter(unit);
  withdrawReadings(unit, importId);
  for (const kind of ["events", "work"] as const) {
    for (const key of writer.withdraw(kind, importId)) writer.remove(kind, key);
  }
  const detectorKeys = writer.withdraw("detectors", importId);
  const siteKeys = writer.withdraw("sites", importId);
  const displaced = displaceDetectorsAt(unit, { siteKeys, writer });
  for (const rows of displaced.rows) await onDisplaced(rows);
  for (const key of [...detectorKeys, ...displaced.orphans]) {
    for (const rows of displaceRowsOf(unit, key)) await onDisplaced(rows);
    writer.remove("detectors", key);
  }
  for (const key of siteKeys) writer.remove("sites", key);
}

/** Withdraws all that imports said of detectors at sites which are about to go; `orphans` are detectors nobody vouches for then. */
function displaceDetectorsAt(
  unit: Store,
  { siteKeys, writer }: { siteKeys: readonly number[]; writer: RowWriter },
): { rows: DisplacedRows[]; orphans: number[] } {
  const siteIds = siteKeys.flatMap((key) => {
    const found = unit.db.select({ siteId: sites.siteId }).from(sites).where(eq(sites.key, key)).get();
    return found ? [found.siteId] : [];
  });
  if (siteIds.length === 0) return { rows: [], orphans: [] };
  const { orphans, withdrawn } = writer.withdrawDetectorsAt(siteIds);
  const rows: DisplacedRows[] = [];
  for (const waitsForId of siteIds) {
    const here = withdrawn.filter(({ row }) => row.kind === "detectors" && row.record.siteId === waitsForId);
    for (const [importId, sent] of byImport(here)) {
      rows.push({ importId, kind: "detectors", waitsFor: "site", waitsForId, rows: sent });
    }
  }
  return { rows, orphans };
}
