import { and, eq, inArray } from "drizzle-orm";
import type { Store } from "@/db/client";
import { importsWithReadingsOf, withdrawReadings } from "@/db/reading-writer";
import { rowWriter } from "@/db/row-writer";
import { detectors, events, rowClaims, work } from "@/db/schema/index";

/** Takes back all an import said; `neededBy` names the imports whose rows still need a site or detector it alone brought. */
export async function withdrawImport(unit: Store, importId: number): Promise<{ neededBy: number[] }> {
  const writer = rowWriter(unit);
  withdrawReadings(unit, importId);
  for (const kind of ["events", "work"] as const) {
    for (const key of writer.withdraw(kind, importId)) writer.remove(kind, key);
  }
  const detectorKeys = writer.withdraw("detectors", importId);
  const needed = new Set(detectorKeys.flatMap((key) => importsOfDetector(unit, key)));
  if (needed.size > 0) return { neededBy: [...needed].sort((a, b) => a - b) };
  for (const key of detectorKeys) writer.remove("detectors", key);
  const siteKeys = writer.withdraw("sites", importId);
  for (const key of siteKeys) for (const one of importsOfSite(unit, key)) needed.add(one);
  if (needed.size > 0) return { neededBy: [...needed].sort((a, b) => a - b) };
  for (const key of siteKeys) writer.remove("sites", key);
  return { neededBy: [] };
}

function importsOfDetector(unit: Store, detectorKey: number): number[] {
  const keysOf = {
    events: unit.db.select({ key: events.key }).from(events).where(eq(events.detectorKey, detectorKey)),
    work: unit.db.select({ key: work.key }).from(work).where(eq(work.detectorKey, detectorKey)),
  };
  const ofRows = (["events", "work"] as const).flatMap((kind) => importsOfRows(unit, kind, keysOf[kind].all()));
  return [...ofRows, ...importsWithReadingsOf(unit, detectorKey)];
}

function importsOfSite(unit: Store, siteKey: number): number[] {
  const keys = unit.db.select({ key: detectors.key }).from(detectors).where(eq(detectors.siteKey, siteKey)).all();
  return importsOfRows(unit, "detectors", keys);
}

function importsOfRows(
  unit: Store,
  kind: "events" | "work" | "detectors",
  rows: readonly { readonly key: number }[],
): number[] {
  const keys = rows.map((row) => row.key);
  return unit.db
    .selectDistinct({ importId: rowClaims.importId })
    .from(rowClaims)
    .where(and(eq(rowClaims.kind, kind), inArray(rowClaims.rowKey, keys)))
    .all()
    .map((row) => row.importId);
}
