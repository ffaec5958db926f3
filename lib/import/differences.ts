import type { CanonicalRow } from "@/lib/records/canonical-row";

/** Values of a record by the column names of its file; instants as ISO 8601. */
export type CellValues = Record<string, string | number | boolean | null>;

/** The columns in which two records of one kind differ, as stored and as sent; both empty when they agree. */
export function differences(stored: object, sent: object): { stored: CellValues; sent: CellValues } {
  const before = cellValues(stored);
  const after = cellValues(sent);
  const columns = Object.keys(after).filter((column) => before[column] !== after[column]);
  const pick = (from: CellValues) => Object.fromEntries(columns.map((column) => [column, from[column] ?? null]));
  return { stored: pick(before), sent: pick(after) };
}

/** What identifies a row, by the column names of its file. */
export function identityOf(row: CanonicalRow): Record<string, string> {
  switch (row.kind) {
    case "sites":
      return { site_id: row.record.siteId };
    case "detectors":
      return { detector_id: row.record.detectorId };
    case "readings":
      return { detector_id: row.record.detectorId, read_at: isoOf(row.record.readAt) };
    case "events":
      return {
        detector_id: row.record.detectorId,
        began_at: isoOf(row.record.beganAt),
        condition: row.record.condition,
      };
    case "work":
      return { detector_id: row.record.detectorId, done_at: isoOf(row.record.doneAt), task: row.record.task };
  }
}

/** The values of a record by the column names of its file. */
export function cellValues(record: object): CellValues {
  const values: CellValues = {};
  for (const [name, value] of Object.entries(record)) {
    const column = columnName(name);
    if (name.endsWith("At") && typeof value === "number") values[column] = isoOf(value);
    else if (typeof value === "string" || typeof value === "number" || typeof value === "boolean")
      values[column] = value;
    else values[column] = null;
  }
  return values;
}

function columnName(name: string): string {
  // The one column whose name in the file does not say its unit the way the product's names do.
  if (name === "durationMin") return "minutes";
  return name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
}

function isoOf(at: number): string {
  return new Date(at).toISOString();
}
