import type { Layout } from "@/lib/import/header";
import { type JoinResult, PhaseJoiner } from "@/lib/import/mapping/join-phases";
import type { JoinedRow, RowMapper, UnmappedWord } from "@/lib/import/mapping/mapped-row";
import { rowMapper } from "@/lib/import/mapping/row-mapper";
import type { SettledMapping } from "@/lib/import/mapping/settled-mapping";
import { shown } from "@/lib/import/quote";
import type { SplitRecord } from "@/lib/import/split-records";
import type { FoldChoice } from "@/lib/kernel/time";
import type { Refusal } from "@/lib/records/outcome";

/**
 * What a file's reading makes of its records: canonical rows, or records that give none, with the words no mapping knows;
 * `words` alone for a record that is held back.
 */
export type MadeRow = { readonly unmapped: readonly UnmappedWord[] } & (
  | ({ readonly outcome: "row" } & JoinedRow)
  | { readonly outcome: "refused"; readonly record: SplitRecord; readonly refusal: Refusal }
  | { readonly outcome: "left_out"; readonly record: SplitRecord; readonly reason: string }
  | { readonly outcome: "words" }
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

/** The reading of a file by a mapping whose questions are settled; rows that begin and end an event are joined. */
export function mappedReading(
  { mapping, rowOrder }: SettledMapping,
  { columns, fold }: { columns: readonly string[]; fold: FoldChoice },
): FileReading {
  const mapper = rowMapper(mapping, columns, { fold });
  const joiner = mapping.columns.phase ? new PhaseJoiner(mapper.layout, { order: rowOrder }) : null;
  return {
    layout: mapper.layout,
    columns,
    take: (record) => madeOf(record, { mapper, joiner }),
    end: () => (joiner ? joinedRows(joiner.end()) : []),
    asSent: (refusal, { cells }) => {
      const { column, value, waitsFor } = refusal;
      if (column === null || waitsFor !== undefined) return refusal;
      return { ...refusal, column: mapper.nameOf(column), value: mapper.sentValue(cells, column) || value };
    },
  };
}

function madeOf(
  record: SplitRecord,
  { mapper, joiner }: { mapper: RowMapper; joiner: PhaseJoiner | null },
): readonly MadeRow[] {
  const made = mapper.map(record.cells);
  if (made.outcome !== "row") return [{ ...made, record }];
  if (joiner === null) return [{ outcome: "row", cells: made.cells, records: [record], unmapped: made.unmapped }];
  const [first, ...rest] = joinedRows(joiner.push(made, record));
  // The words are those of this record, whichever event it completes.
  if (made.unmapped.length === 0) return first ? [first, ...rest] : [];
  return [{ outcome: "words", unmapped: made.unmapped }, ...(first ? [first, ...rest] : [])];
}

function joinedRows({ joined, refused }: JoinResult): MadeRow[] {
  return [
    ...joined.map((one) => ({ outcome: "row", ...one, unmapped: [] }) as const),
    ...refused.map((one) => ({ outcome: "refused", ...one, unmapped: [] }) as const),
  ];
}
