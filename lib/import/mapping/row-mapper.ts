import { layoutOf } from "@/lib/import/header";
import { type CellMaker, cellMaker, type MadeCell, madeOfNothing } from "@/lib/import/mapping/cell-makers";
import type { MappedRow, RowMapper, UnmappedWord } from "@/lib/import/mapping/mapped-row";
import type { ColumnRule, MappingDraft } from "@/lib/import/mapping/mapping";
import { placesOf, type Source, sourceOf } from "@/lib/import/mapping/sources";
import { shown } from "@/lib/import/quote";
import { sameName } from "@/lib/import/table/column-names";
import type { FoldChoice } from "@/lib/kernel/time";
import { columnsOf, requiredColumnsOf } from "@/lib/records/files";
import type { Refusal } from "@/lib/records/outcome";

type Maker = {
  readonly column: string;
  readonly rule: ColumnRule;
  readonly source: Source;
  readonly make: CellMaker;
};

/**
 * The mapper of the rows of a table with these columns.
 *
 * It gives the texts of canonical cells, which the reader of canonical rows judges as it judges any. A column of theirs
 * that the file lacks gives empty cells; see `missingColumns`. It never throws, whatever stands in the cells. `fold` says
 * which of two moments is meant in a named zone's repeated hour; the site's own zone is the reader's matter.
 */
export function rowMapper(
  mapping: MappingDraft,
  columns: readonly string[],
  { fold = "refuse" }: { fold?: FoldChoice } = {},
): RowMapper {
  const { kind } = mapping;
  const maker = (column: string): Maker[] => {
    const rule = mapping.columns[column];
    return rule ? [{ column, rule, source: sourceOf(rule, columns), make: cellMaker(column, rule, { fold }) }] : [];
  };
  const [row] = maker("row");
  const [phase] = kind === "events" ? maker("phase") : [];
  const makers = columnsOf(kind).flatMap(maker);
  // A begin gets its end from another row, so events in two rows always have the column for it.
  const header = columnsOf(kind).filter((column) => mapping.columns[column] || (phase && column === "ended_at"));
  const made = header.map((column) => makers.find((one) => one.column === column) ?? null);
  const all = [...(row ? [row] : []), ...(phase ? [phase] : []), ...makers];
  const named = new Map(all.map((one) => [one.column, one]));
  return {
    layout: layoutOf(kind, header),
    map: (cells) => mapRow(cells, { row, phase, made, columns }),
    nameOf: (column) => nameOf(column, named.get(column)),
    sentValue: (cells, column) => shown(named.get(column)?.source.text(cells) ?? ""),
  };
}

/** Columns of theirs that the mapping names and the file lacks, in the order of the mapping. */
export function missingColumns(mapping: MappingDraft, columns: readonly string[]): string[] {
  return missingOf(Object.values(mapping.columns), columns);
}

/** The missing columns without which no row can be read: those of our required columns, and of what steers rows. */
export function missingNeededColumns(mapping: MappingDraft, columns: readonly string[]): string[] {
  const needed = [...requiredColumnsOf(mapping.kind), "row", "phase"];
  return missingOf(
    Object.entries(mapping.columns).flatMap(([column, rule]) => (needed.includes(column) ? [rule] : [])),
    columns,
  );
}

function missingOf(rules: readonly ColumnRule[], columns: readonly string[]): string[] {
  const places = placesOf(columns);
  const named = rules.flatMap(({ parts }) => parts.flatMap((part) => ("column" in part ? [part.column] : [])));
  return [...new Map(named.map((name) => [sameName(name), name])).entries()].flatMap(([key, name]) =>
    places.has(key) ? [] : [name],
  );
}

function nameOf(column: string, maker: Maker | undefined): string {
  if (!maker || maker.source.columns.length === 0) return column;
  return `${column} (from ${maker.source.columns.map(shown).join(", ")})`;
}

type Plan = {
  readonly row: Maker | undefined;
  readonly phase: Maker | undefined;
  readonly made: readonly (Maker | null)[];
  readonly columns: readonly string[];
};

function mapRow(cells: readonly string[], { row, phase, made, columns }: Plan): MappedRow {
  if (cells.length !== columns.length) {
    return { outcome: "refused", refusal: raggedRow(cells, columns), unmapped: [] };
  }
  const pass = new Pass(cells);
  const keep = row ? pass.steer(row, ["keep", "leave_out"]) : "keep";
  if (row && keep === "leave_out") {
    const word = shown(row.source.text(cells));
    return { outcome: "left_out", reason: leftOutReason(row, word), unmapped: pass.unmapped };
  }
  const step = phase ? pass.steer(phase, ["whole", "begin", "end"]) : "whole";
  const texts = made.map((maker) => (maker ? pass.cell(maker) : ""));
  const { unmapped, leftOut, refusal } = pass;
  if (leftOut !== null) return { outcome: "left_out", reason: leftOut, unmapped };
  if (refusal !== null) return { outcome: "refused", refusal, unmapped };
  return { outcome: "row", cells: texts, phase: step === "begin" || step === "end" ? step : "whole", unmapped };
}

/** One row on its way: what was found wrong, unwanted or unknown in it so far; the first of each counts. */
class Pass {
  readonly unmapped: UnmappedWord[] = [];
  leftOut: string | null = null;
  refusal: Refusal | null = null;

  constructor(private readonly cells: readonly string[]) {}

  /** The text of a cell of ours; empty when there is none. */
  cell(maker: Maker): string {
    const { column, rule, source } = maker;
    const text = source.text(this.cells);
    const lacking = column.endsWith("_id") && source.columns.length > 1 ? source.partial(this.cells) : null;
    if (lacking !== null) {
      this.refuse(maker, text, `lacks a part: ${shown(lacking)} is empty; complete it, or leave such rows out`);
      return "";
    }
    const result: MadeCell = text === "" ? madeOfNothing(rule) : maker.make(text);
    // Words that only single out rows to leave out need not name all others.
    if (result.unmapped && column !== "row") this.unmapped.push({ column, word: shown(text) });
    if (result.made === "cell") return result.text;
    if (result.made === "left_out") this.leftOut ??= leftOutReason(maker, shown(text));
    else this.refuse(maker, text, result.reason);
    return "";
  }

  /** The word of a column that steers the row; the first of `words` for an empty one. */
  steer(maker: Maker, words: readonly string[]): string {
    const before = this.refusal;
    const text = this.cell(maker);
    if (text === "" && maker.rule.read.as === "words" && maker.rule.read.otherwise.do === "refuse") {
      if (this.refusal === before && maker.source.text(this.cells) === "") this.refuse(maker, "", "is empty");
    }
    if (text !== "" && !words.includes(text)) this.refuse(maker, text, `is not one of: ${words.join(", ")}`);
    return text === "" ? (words[0] ?? "") : text;
  }

  private refuse(maker: Maker, text: string, reason: string): void {
    this.refusal ??= { column: nameOf(maker.column, maker), value: shown(text), reason };
  }
}

function leftOutReason(maker: Maker, word: string): string {
  const where = maker.source.columns.map(shown).join(", ");
  return `the mapping leaves out rows with '${word}'${where === "" ? "" : ` in ${where}`}`;
}

function raggedRow(cells: readonly string[], columns: readonly string[]): Refusal {
  const fewer = cells.length < columns.length;
  return {
    column: fewer ? (columns[cells.length] ?? null) : null,
    value: shown(cells.join(",")),
    reason: fewer
      ? `the row ends after ${cells.length} of ${columns.length} cells; complete it`
      : `the row has ${cells.length} cells where the header has ${columns.length}; quote cells that hold the separator`,
  };
}
