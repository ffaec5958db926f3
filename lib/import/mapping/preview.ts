import type { MappedRow, RowMapper } from "@/lib/import/mapping/mapped-row";
import { type MappingDraft, unmadeColumns } from "@/lib/import/mapping/mapping";
import { rowMapper } from "@/lib/import/mapping/row-mapper";
import { type MomentOfDetector, rowReader } from "@/lib/import/read-row";
import type { SplitRecord } from "@/lib/import/split-records";
import type { FoldChoice } from "@/lib/kernel/time";
import type { Refusal } from "@/lib/records/outcome";

/** One cell of ours in a preview: what was sent for it, what it becomes, and what is wrong with it (null for nothing). */
export type PreviewCell = {
  readonly ours: string;
  readonly sent: string;
  readonly text: string;
  readonly problem: string | null;
};

/**
 * What becomes of one row: `ready` to be stored, `joins` with another row to one event, `left_out` by the mapping,
 * `waits` for a site or detector not known yet, or `refused`; `reason` says why for all but a ready one.
 */
export type PreviewRow = {
  readonly line: number;
  readonly outcome: "ready" | "joins" | "left_out" | "waits" | "refused";
  readonly reason: string | null;
  /** The column of ours a refusal is about; null when it is about the whole row. */
  readonly column: string | null;
  readonly cells: readonly PreviewCell[];
  /** Words of the row that the mapping does not know, with the column of ours they stood for. */
  readonly unmapped: readonly { readonly column: string; readonly word: string }[];
};

/**
 * What a mapping, finished or not, makes of some rows of a file, cell by cell, before anything is stored.
 *
 * The rows go through the same mapper and the same reader as an import. What only the store knows, such as duplicates
 * and conflicts, is not told.
 */
export function previewRows({
  mapping,
  columns,
  records,
  momentOfDetector,
  fold = "refuse",
}: PreviewInput): PreviewRow[] {
  const mapper = rowMapper(mapping, columns, { fold });
  const read = rowReader(mapper.layout, momentOfDetector);
  const open = unmadeColumns(mapping);
  return records.map((record) => {
    if (record.flaw !== null) {
      return { line: record.line, outcome: "refused", reason: record.flaw, column: null, cells: [], unmapped: [] };
    }
    const mapped = mapper.map(record.cells);
    const { outcome, refusal, reason } = outcomeOf(mapped, { mapper, read, open });
    const ours = [...mapper.layout.header, ...open];
    const column = ours.find((one) => refusal !== null && isAbout(refusal, one, mapper)) ?? null;
    const cells = ours.map((one) =>
      previewCell(one, { mapper, record, mapped, problem: one === column ? refusal : null }),
    );
    return { line: record.line, outcome, reason, column, cells, unmapped: mapped.unmapped };
  });
}

/** What a preview needs to know: rows as they were cut, and in which zone a detector's times are read. */
export type PreviewInput = {
  readonly mapping: MappingDraft;
  readonly columns: readonly string[];
  readonly records: readonly SplitRecord[];
  readonly momentOfDetector: MomentOfDetector;
  readonly fold?: FoldChoice;
};

type Judged = { outcome: PreviewRow["outcome"]; refusal: Refusal | null; reason: string | null };

function outcomeOf(
  mapped: MappedRow,
  { mapper, read, open }: { mapper: RowMapper; read: ReturnType<typeof rowReader>; open: readonly string[] },
): Judged {
  if (mapped.outcome === "left_out") return { outcome: "left_out", refusal: null, reason: mapped.reason };
  if (mapped.outcome === "refused") return refusedBy(mapped.refusal);
  const [lacking] = open;
  if (lacking !== undefined) {
    return refusedBy({ column: lacking, value: null, reason: "is needed; say which column it is" });
  }
  const row = read(mapped.cells);
  if (!row.ok) {
    const { refusal } = row;
    const judged = refusedBy({ ...refusal, column: refusal.column === null ? null : mapper.nameOf(refusal.column) });
    return refusal.waitsFor === undefined ? judged : { ...judged, outcome: "waits" };
  }
  if (mapped.phase === "whole") return { outcome: "ready", refusal: null, reason: null };
  const reason =
    mapped.phase === "begin"
      ? "begins an event; the row that ends it is joined to it"
      : "ends the event that an earlier row begins";
  return { outcome: "joins", refusal: null, reason };
}

function refusedBy(refusal: Refusal): Judged {
  const { column, value, reason } = refusal;
  const words = [column, value === null || value === "" ? null : `'${value}'`, reason].filter((part) => part !== null);
  return { outcome: "refused", refusal, reason: words.join(" ") };
}

function isAbout({ column }: Refusal, ours: string, mapper: RowMapper): boolean {
  return column === ours || column === mapper.nameOf(ours);
}

function previewCell(
  ours: string,
  {
    mapper,
    record,
    mapped,
    problem,
  }: { mapper: RowMapper; record: SplitRecord; mapped: MappedRow; problem: Refusal | null },
): PreviewCell {
  const place = mapper.layout.places.get(ours) ?? -1;
  return {
    ours,
    sent: mapper.sentValue(record.cells, ours),
    text: mapped.outcome === "row" ? (mapped.cells[place] ?? "") : "",
    problem: problem?.reason ?? null,
  };
}
