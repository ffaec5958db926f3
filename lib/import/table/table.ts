import type { SplitRecord } from "@/lib/import/split-records";
import type { TableFormat } from "@/lib/import/table/table-format";

/** Rows of a table as they come; `openLine` is the line in which the file ends without a line end, `bytes` read so far. */
export type RecordBlock = {
  readonly records: readonly SplitRecord[];
  readonly openLine: number | null;
  readonly bytes: number;
};

/** A file as a table: how it is written, its columns by name, and its rows from the first after the header, each time anew. */
export type Table = {
  readonly format: TableFormat;
  readonly columns: readonly string[];
  /** What a reader should know of how the file was read, such as a guessed encoding; null when there is nothing. */
  readonly note: string | null;
  /** True when the cells are not those that stand in the file, so that its bytes must not be read past the table. */
  readonly rewritten?: boolean;
  rows(): AsyncGenerator<RecordBlock>;
};
