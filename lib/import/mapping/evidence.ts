import { DateEvidence } from "@/lib/import/mapping/date-evidence";
import { type ColumnRule, calendarOrders, type DateOrder, type MappingDraft } from "@/lib/import/mapping/mapping";
import { NumberEvidence } from "@/lib/import/mapping/number-evidence";
import { rowMapper } from "@/lib/import/mapping/row-mapper";
import { type Source, sourceOf } from "@/lib/import/mapping/sources";
import { formOfColumn } from "@/lib/import/mapping/units";
import { columnsOf, rowSchemas } from "@/lib/records/files";

/** What was seen of one column of ours in the cells of theirs. */
export type ColumnEvidence<Seen> = { readonly column: string; readonly source: Source; readonly seen: Seen };

/** Whether a file must be gone through before its rows are: some of its dates or decimals can be read in two ways. */
export function needsEvidence(mapping: MappingDraft): boolean {
  const rules = Object.values(mapping.columns);
  const inTwoWays = (rule: ColumnRule) =>
    rule.read.as === "number" || (rule.read.as === "moment" && knownOrder(rule) === null);
  return mapping.columns.phase !== undefined || rules.some(inTwoWays);
}

/**
 * Goes through all rows of a table, in constant memory, to see how its dates and numbers are written.
 *
 * Rows the mapping leaves out, and rows of another number of cells than the header, say nothing. Columns whose order or
 * sign the mapping states are looked at too: `settle` tells when the file says otherwise.
 */
export class TableEvidence {
  readonly dates: readonly ColumnEvidence<DateEvidence>[];
  readonly numbers: readonly ColumnEvidence<NumberEvidence>[];
  /** Rows that were looked at. */
  rows = 0;
  private readonly width: number;
  private readonly unwanted: ((cells: readonly string[]) => boolean) | null;

  constructor(mapping: MappingDraft, columns: readonly string[]) {
    this.width = columns.length;
    const rules = columnsOf(mapping.kind).flatMap((column) => {
      const rule = mapping.columns[column];
      return rule ? [{ column, rule, source: sourceOf(rule, columns) }] : [];
    });
    this.dates = rules.flatMap(({ column, rule, source }) => {
      const form = formOfColumn(column);
      if (form !== "moment" && form !== "day") return [];
      return [{ column, source, seen: new DateEvidence(knownOrder(rule)) }];
    });
    this.numbers = rules.flatMap(({ column, rule: { read }, source }) => {
      if (read.as !== "number") return [];
      return [{ column, source, seen: new NumberEvidence({ ...read, column }, rangeOf(mapping, column)) }];
    });
    this.unwanted = unwantedRows(mapping, columns);
  }

  /** Looks at one row and the line it stands on. */
  take(cells: readonly string[], line: number): void {
    if (cells.length !== this.width || this.unwanted?.(cells)) return;
    this.rows += 1;
    for (const { source, seen } of this.dates) seen.take(source.text(cells), line);
    for (const { source, seen } of this.numbers) seen.take(source.text(cells), line);
  }
}

/** The order of a column that can be read in no other: a count, or text that must be ours; null for a date. */
function knownOrder({ read }: ColumnRule): DateOrder | null {
  if (read.as !== "moment") return "year_first";
  return calendarOrders.some((order) => order === read.order) ? null : read.order;
}

function rangeOf({ kind }: MappingDraft, column: string): (digits: string) => boolean {
  const shape: Record<string, { safeParse(value: unknown): { success: boolean } }> = rowSchemas[kind].shape;
  return (digits) => shape[column]?.safeParse(digits).success ?? true;
}

/** Tells rows that words leave out from the others; null when the mapping leaves out none. */
function unwantedRows(
  mapping: MappingDraft,
  columns: readonly string[],
): ((cells: readonly string[]) => boolean) | null {
  const worded = Object.entries(mapping.columns).filter(
    ([column, { read }]) => read.as === "words" && (column === "row" || read.otherwise.do === "leave_out"),
  );
  if (worded.length === 0) return null;
  const mapper = rowMapper({ ...mapping, columns: Object.fromEntries(worded) }, columns);
  return (cells) => mapper.map(cells).outcome === "left_out";
}
