import { detectorRow } from "@/lib/records/detector";
import { eventRow } from "@/lib/records/event";
import { readingRow } from "@/lib/records/reading";
import { siteRow } from "@/lib/records/site";
import { workRow } from "@/lib/records/work";

/** The five canonical files, in the order in which they can be loaded: each may name what stands before it. */
export const fileKinds = ["sites", "detectors", "readings", "events", "work"] as const;

/** One of the five canonical files. */
export type FileKind = (typeof fileKinds)[number];

/** Row schema of each file; its columns in order, and what each means, are read from it. */
export const rowSchemas = {
  sites: siteRow,
  detectors: detectorRow,
  readings: readingRow,
  events: eventRow,
  work: workRow,
} as const;

/** The columns that identify a row of each file. */
export const naturalKeys = {
  sites: ["site_id"],
  detectors: ["detector_id"],
  readings: ["detector_id", "read_at"],
  events: ["detector_id", "began_at", "condition"],
  work: ["detector_id", "done_at", "task"],
} as const satisfies Record<FileKind, readonly string[]>;

/** Columns of a file in their order. */
export function columnsOf(kind: FileKind): string[] {
  return Object.keys(rowSchemas[kind].shape);
}

/** Columns a header must have; the others may be left out. */
export function requiredColumnsOf(kind: FileKind): string[] {
  const shape: Record<string, { safeParse(value: unknown): { success: boolean } }> = rowSchemas[kind].shape;
  return columnsOf(kind).filter((column) => !shape[column]?.safeParse(undefined).success);
}
