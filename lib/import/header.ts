import { shown } from "@/lib/import/quote";
import { columnsOf, type FileKind, fileKinds, requiredColumnsOf } from "@/lib/records/files";

/** How the columns of a file stand: its kind, its header, and for each column of that kind its place in a row. */
export type Layout = {
  readonly kind: FileKind;
  readonly header: readonly string[];
  readonly places: ReadonlyMap<string, number>;
  /** What a reader should know, such as columns that are not used; null when there is nothing. */
  readonly note: string | null;
};

/** A layout, or in plain words why the header is none and what to do. */
export type HeaderResult =
  | { readonly ok: true; readonly layout: Layout }
  | { readonly ok: false; readonly column: string | null; readonly reason: string };

/**
 * Finds out from its header which of the five files a table is.
 *
 * The columns decide: the kind whose required columns are all there and which knows most of the columns. The name of
 * the file only settles a tie. Columns nobody knows are left aside and noted.
 */
export function readHeader(cells: readonly string[], { name }: { name: string }): HeaderResult {
  const header = cells.map((cell) => cell.trim().toLowerCase());
  const broken = header.find((column) => /[\r\n]/.test(column));
  if (broken !== undefined) {
    // A header that ends in another line break than the rows would take the first row along.
    return {
      ok: false,
      column: shown(broken),
      reason: "has a line break inside the header; save the file with one kind of line end",
    };
  }
  const twice = header.find((column, index) => column !== "" && header.indexOf(column) !== index);
  if (twice !== undefined) {
    return { ok: false, column: shown(twice), reason: "stands twice in the header; rename or remove one of them" };
  }
  const complete = fileKinds.filter((kind) => requiredColumnsOf(kind).every((column) => header.includes(column)));
  const known = (kind: FileKind) => columnsOf(kind).filter((column) => header.includes(column)).length;
  const [best] = complete.toSorted((a, b) => known(b) - known(a) || nameFits(name, b) - nameFits(name, a));
  if (best === undefined) return { ok: false, ...explainHeader(header, name) };
  const unused = header.filter((column) => !columnsOf(best).includes(column));
  const places = new Map(columnsOf(best).flatMap((column) => placeOf(header, column)));
  const note =
    unused.length === 0 ? null : `columns not used: ${unused.map((one) => shown(one) || "(no name)").join(", ")}`;
  return { ok: true, layout: { kind: best, header, places, note } };
}

/** The layout of a kind with a header that was accepted before; for rows that waited. */
export function layoutOf(kind: FileKind, header: readonly string[]): Layout {
  return { kind, header, places: new Map(columnsOf(kind).flatMap((column) => placeOf(header, column))), note: null };
}

function placeOf(header: readonly string[], column: string): [string, number][] {
  const place = header.indexOf(column);
  return place === -1 ? [] : [[column, place]];
}

function nameFits(name: string, kind: FileKind): number {
  return name.toLowerCase().includes(kind) ? 1 : 0;
}

function explainHeader(header: readonly string[], name: string): { column: string | null; reason: string } {
  const text = header.join(",");
  if (header.length === 1 && /[;\t|]/.test(text)) {
    return { column: null, reason: "does not separate its columns by commas; save it as CSV with commas" };
  }
  const share = (kind: FileKind) => columnsOf(kind).filter((column) => header.includes(column)).length;
  const [nearest = "sites"] = fileKinds.toSorted(
    (a, b) => share(b) - share(a) || nameFits(name, b) - nameFits(name, a),
  );
  if (share(nearest) === 0) {
    return {
      column: null,
      reason: `has no header of one of the five files (it begins '${shown(text)}'); the first line must name the columns, such as ${requiredColumnsOf("readings").join(",")}`,
    };
  }
  const missing = requiredColumnsOf(nearest).filter((column) => !header.includes(column));
  const unknown = header.filter((column) => !columnsOf(nearest).includes(column));
  const extra = unknown.length === 0 ? "" : `; it does not know ${unknown.map(shown).join(", ")}`;
  return {
    column: missing[0] ?? null,
    reason: `is nearest to ${nearest}.csv, which also needs ${missing.join(", ")}${extra}; add or rename the columns`,
  };
}
