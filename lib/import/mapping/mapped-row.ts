import type { Layout } from "@/lib/import/header";
import type { SplitRecord } from "@/lib/import/split-records";
import type { Refusal } from "@/lib/records/outcome";

/** A word of the file that no mapping names, and the column of ours it stood for. */
export type UnmappedWord = { readonly column: string; readonly word: string };

/**
 * What a mapping makes of one row of a foreign table.
 *
 * `row`: the cells of a canonical row, in the order of the layout's header. `left_out`: the mapping says that such rows
 * are not wanted; the reason names the word. `refused`: a cell could not be read; `column` names ours and theirs.
 */
export type MappedRow =
  | {
      readonly outcome: "row";
      readonly cells: readonly string[];
      readonly phase: "whole" | "begin" | "end";
      readonly unmapped: readonly UnmappedWord[];
    }
  | { readonly outcome: "left_out"; readonly reason: string; readonly unmapped: readonly UnmappedWord[] }
  | { readonly outcome: "refused"; readonly refusal: Refusal; readonly unmapped: readonly UnmappedWord[] };

/** Makes canonical rows of the rows of one table; holds no state between rows. */
export type RowMapper = {
  /** The canonical layout of what it makes. */
  readonly layout: Layout;
  map(cells: readonly string[]): MappedRow;
  /** How messages name a column of ours: with the columns of theirs it is made of, such as `signal_pct (from Level)`. */
  nameOf(column: string): string;
  /** What stands in the foreign cells a column of ours is made of. */
  sentValue(cells: readonly string[], column: string): string;
};

/** A canonical row and the lines of the file that made it: one, or the two that begin and end an event. */
export type JoinedRow = { readonly cells: readonly string[]; readonly records: readonly SplitRecord[] };
