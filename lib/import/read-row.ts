import type { z } from "zod";
import type { Layout } from "@/lib/import/header";
import { plainReadingReader, type ReadingRow } from "@/lib/import/plain-reading";
import { shown } from "@/lib/import/quote";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import { detectorRow, toDetector } from "@/lib/records/detector";
import { eventRow, toEvent } from "@/lib/records/event";
import type { MomentReading } from "@/lib/records/moment";
import { accepted, type Outcome, refused } from "@/lib/records/outcome";
import { readingRow, toReading } from "@/lib/records/reading";
import { siteRow, toSite } from "@/lib/records/site";
import { toWork, workRow } from "@/lib/records/work";

/** How a row that names a detector is read in time; refused when the detector is not known. */
export type MomentOfDetector = (detectorId: string) => Outcome<MomentReading>;

/** Makes the record of a row's cells, or says which cell is wrong and why. */
export type RowReader = (cells: readonly string[]) => Outcome<CanonicalRow>;

/** The reader of the rows of a file with this layout. */
export function rowReader(layout: Layout, momentOfDetector: MomentOfDetector): RowReader {
  switch (layout.kind) {
    case "sites": {
      const row = cellReader(siteRow, layout);
      return (cells) =>
        chain(row(cells), (good) => chain(toSite(good), (record) => accepted({ kind: "sites", record })));
    }
    case "detectors": {
      const row = cellReader(detectorRow, layout);
      return (cells) =>
        chain(row(cells), (good) => chain(toDetector(good), (record) => accepted({ kind: "detectors", record })));
    }
    case "readings": {
      const plain = plainReadingReader(layout);
      const bySchema = cellReader(readingRow, layout);
      const row = (cells: readonly string[]): Outcome<ReadingRow> => {
        const good = plain(cells);
        return good ? accepted(good) : bySchema(cells);
      };
      return timedReader(row, momentOfDetector, (good, moment) =>
        chain(toReading(good, moment), (record) => accepted({ kind: "readings", record })),
      );
    }
    case "events": {
      const row = cellReader(eventRow, layout);
      return timedReader(row, momentOfDetector, (good, moment) =>
        chain(toEvent(good, moment), (record) => accepted({ kind: "events", record })),
      );
    }
    case "work": {
      const row = cellReader(workRow, layout);
      return timedReader(row, momentOfDetector, (good, moment) =>
        chain(toWork(good, moment), (record) => accepted({ kind: "work", record })),
      );
    }
  }
}

function timedReader<Row extends { detector_id: string }>(
  row: (cells: readonly string[]) => Outcome<Row>,
  momentOfDetector: MomentOfDetector,
  toRecord: (row: Row, moment: MomentReading) => Outcome<CanonicalRow>,
): RowReader {
  return (cells) => chain(row(cells), (good) => chain(momentOfDetector(good.detector_id), (at) => toRecord(good, at)));
}

/** Reads cells by a row schema; the first wrong cell refuses the row. */
function cellReader<Schema extends z.ZodType>(schema: Schema, { header, places }: Layout) {
  const columns = [...places];
  return (cells: readonly string[]): Outcome<z.infer<Schema>> => {
    if (cells.length !== header.length) return refused(raggedRow(cells, header));
    const row: Record<string, string> = {};
    for (const [column, place] of columns) row[column] = cells[place] ?? "";
    const parsed = schema.safeParse(row);
    if (parsed.success) return accepted(parsed.data);
    const [wrong] = parsed.error.issues;
    const column = String(wrong?.path[0] ?? "");
    const place = places.get(column);
    return refused({
      column,
      value: place === undefined ? null : shown(cells[place] ?? ""),
      reason: wrong?.message ?? "is not readable",
    });
  };
}

function raggedRow(cells: readonly string[], header: readonly string[]) {
  const fewer = cells.length < header.length;
  return {
    column: fewer ? (header[cells.length] ?? null) : null,
    value: shown(cells.join(",")),
    reason: fewer
      ? `the row ends after ${cells.length} of ${header.length} cells; complete it`
      : `the row has ${cells.length} cells where the header has ${header.length}; quote cells that hold a comma`,
  };
}

function chain<From, To>(outcome: Outcome<From>, next: (value: From) => Outcome<To>): Outcome<To> {
  return outcome.ok ? next(outcome.value) : outcome;
}
