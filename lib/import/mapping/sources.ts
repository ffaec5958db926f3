import type { ColumnRule, Part } from "@/lib/import/mapping/mapping";
import { sameName } from "@/lib/import/table/column-names";

/** What the cells of a foreign row give for one column of ours: the composed text, and what of it is lacking. */
export type Source = {
  /** Their columns, in the order of the parts, each once. */
  readonly columns: readonly string[];
  /** The composed text, trimmed; empty when all its columns are, whatever fixed texts stand between them. */
  text(cells: readonly string[]): string;
  /** Whether some of its columns are empty and some are not. */
  partial(cells: readonly string[]): string | null;
};

/** The composition of a column of ours, its columns found by name. */
export function sourceOf({ parts }: ColumnRule, columns: readonly string[]): Source {
  const places = placesOf(columns);
  const pieces = parts.map((part) => piece(part, places));
  const read = pieces.flatMap((one) => (one.column === null ? [] : [one]));
  const [only] = pieces;
  const single = pieces.length === 1 && only?.column !== null ? only : undefined;
  const blank = (cells: readonly string[], { place }: Piece) => (cells[place] ?? "").trim() === "";
  return {
    columns: [...new Set(read.map((one) => one.column ?? ""))],
    text: (cells) => {
      if (single) return single.of(cells);
      if (read.length > 0 && read.every((one) => blank(cells, one))) return "";
      return pieces
        .map((one) => one.of(cells))
        .join("")
        .trim();
    },
    partial: (cells) => {
      const empty = read.find((one) => blank(cells, one));
      return empty === undefined || read.every((one) => blank(cells, one)) ? null : (empty.column ?? null);
    },
  };
}

type Piece = { readonly column: string | null; readonly place: number; of(cells: readonly string[]): string };

function piece(part: Part, places: ReadonlyMap<string, number>): Piece {
  if ("text" in part) return { column: null, place: -1, of: () => part.text };
  const { column, width = 0 } = part;
  const place = places.get(sameName(column)) ?? -1;
  return {
    column,
    place,
    of: (cells) => {
      const text = (cells[place] ?? "").trim();
      return text.length < width && /^\d+$/.test(text) ? text.padStart(width, "0") : text;
    },
  };
}

/** Places of columns by the form their names are compared in. */
export function placesOf(columns: readonly string[]): ReadonlyMap<string, number> {
  return new Map(columns.map((name, index) => [sameName(name), index]));
}
