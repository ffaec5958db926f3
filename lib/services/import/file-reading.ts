import type { Layout } from "@/lib/import/header";
import type { JoinedRow, UnmappedWord } from "@/lib/import/mapping/mapped-row";
import { shown } from "@/lib/import/quote";
import type { SplitRecord } from "@/lib/import/split-records";
import type { Refusal } from "@/lib/records/outcome";

/** What a file's reading makes of its records: canonical rows, or records that give none, with the words no mapping knows. */
export type MadeRow = { readonly unmapped: readonly UnmappedWord[] } & (
  | ({ readonly outcome: "row" } & JoinedRow)
  | { readonly outcome: "refused"; readonly record: SplitRecord; readonly refusal: Refusal }
  | { readonly outcome: "left_out"; readonly record: SplitRecord; readonly reason: string }
);

/** How the records of one file become canonical rows; it may hold back a record until its counterpart comes. */
export type FileReading = {
  /** The canonical layout of the rows it makes. */
  readonly layout: Layout;
  /** The columns of the file itself. */
  readonly columns: readonly string[];
  take(record: SplitRecord): readonly MadeRow[];
  /** What is still held back when the file ends. */
  end(): readonly MadeRow[];
  /** A refusal of a canonical row in the words of the record that was sent. */
  asSent(refusal: Refusal, record: SplitRecord): Refusal;
};

/** The reading of a file that is canonical as it stands. */
export function directReading(layout: Layout): FileReading {
  return {
    layout,
    columns: layout.header,
    take: (record) => [{ outcome: "row", cells: record.cells, records: [record], unmapped: [] }],
    end: () => [],
    asSent: (refusal, { cells }) => {
      const { column, value, waitsFor } = refusal;
      if (column === null || value === null || waitsFor !== undefined) return refusal;
      const place = layout.places.get(column);
      if (cells.length !== layout.header.length || place === undefined) return refusal;
      // A check of the finished record knows only what was made of the cell.
      return { ...refusal, value: shown((cells[place] ?? "").trim()) };
    },
  };
}
