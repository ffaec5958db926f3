import { PhaseJoiner } from "@/lib/import/mapping/join-phases";
import type { MappingDraft } from "@/lib/import/mapping/mapping";
import { type PreviewRow, previewRows } from "@/lib/import/mapping/preview";
import { rowMapper } from "@/lib/import/mapping/row-mapper";
import type { RowOrder } from "@/lib/import/mapping/settle";
import { wordForm, wordLookup } from "@/lib/import/mapping/words";
import type { MomentOfDetector } from "@/lib/import/read-row";
import type { SplitRecord } from "@/lib/import/split-records";

/** A row that was tried, with its cells as they were sent. */
export type TriedRow = PreviewRow & { readonly theirs: readonly string[] };

/** What a column of ours got from the rows tried. */
export type TriedColumn = {
  readonly filled: number;
  readonly refused: number;
  readonly problem: string | null;
  readonly example: { readonly theirs: string; readonly ours: string } | null;
};

/** A word of theirs, how many rows have it, and whether the mapping knows it. */
export type TriedWord = { readonly word: string; readonly count: number; readonly known: boolean };

/** What a mapping makes of the rows of a sample. */
export type Trial = {
  readonly counts: Readonly<Record<PreviewRow["outcome"], number>>;
  /** The first rows and some that do not go in, by line. */
  readonly rows: readonly TriedRow[];
  readonly columns: ReadonlyMap<string, TriedColumn>;
  /** For each column that is read by words, what stands in its cells, most frequent first. */
  readonly words: ReadonlyMap<string, readonly TriedWord[]>;
};

/** What is tried: a mapping, finished or not, on rows of a file; `rowOrder` matters where two rows make one event. */
export type TrialInput = {
  readonly mapping: MappingDraft;
  readonly columns: readonly string[];
  readonly records: readonly SplitRecord[];
  readonly momentOfDetector: MomentOfDetector;
  readonly rowOrder: RowOrder;
};

const FIRST_ROWS = 50;
const PROBLEM_ROWS = 50;
const PORTION = 1_000;

/** Tries a mapping on rows as an import would read them; nothing is stored, and what only the store knows is not told. */
export function tryMapping({ records, ...input }: TrialInput): Trial {
  const counts = { ready: 0, joins: 0, left_out: 0, waits: 0, refused: 0 };
  const rows: TriedRow[] = [];
  const columns = new Map<string, TriedColumn>();
  const lonely = unjoined({ records, ...input });
  let problems = 0;
  for (let from = 0; from < records.length; from += PORTION) {
    const portion = records.slice(from, from + PORTION);
    for (const [index, previewed] of previewRows({ ...input, records: portion }).entries()) {
      const reason = lonely.get(previewed.line);
      const row =
        reason === undefined || previewed.outcome !== "joins"
          ? previewed
          : { ...previewed, outcome: "refused" as const, reason };
      counts[row.outcome] += 1;
      tally(columns, row);
      const problem = row.outcome !== "ready" && row.outcome !== "joins";
      if (from + index >= FIRST_ROWS && (!problem || problems >= PROBLEM_ROWS)) continue;
      if (problem) problems += 1;
      rows.push({ ...row, theirs: portion[index]?.cells ?? [] });
    }
  }
  return { counts, rows, columns, words: wordsIn({ records, ...input }) };
}

function tally(columns: Map<string, TriedColumn>, row: PreviewRow): void {
  for (const { ours, sent, text, problem } of row.cells) {
    const before = columns.get(ours) ?? { filled: 0, refused: 0, problem: null, example: null };
    columns.set(ours, {
      filled: before.filled + (text === "" ? 0 : 1),
      // A row that waits is good in itself: its detector is not known yet.
      refused: before.refused + (problem !== null && row.outcome === "refused" ? 1 : 0),
      problem: before.problem ?? (row.outcome === "refused" ? problem : null),
      example: before.example ?? (text === "" ? null : { theirs: sent, ours: text }),
    });
  }
}

/** Rows that end an event which no row of the sample begins, with the reason, by line. */
function unjoined({ mapping, columns, records, rowOrder }: TrialInput): ReadonlyMap<number, string> {
  const found = new Map<number, string>();
  if (mapping.columns.phase === undefined) return found;
  const mapper = rowMapper(mapping, columns);
  const joiner = new PhaseJoiner(mapper.layout, { order: rowOrder });
  const note = ({ refused }: ReturnType<PhaseJoiner["end"]>) => {
    for (const { record, refusal } of refused) found.set(record.line, refusal.reason);
  };
  for (const record of records) {
    const mapped = record.flaw === null ? mapper.map(record.cells) : null;
    if (mapped?.outcome === "row") note(joiner.push(mapped, record));
  }
  note(joiner.end());
  return found;
}

const WORD_LIMIT = 2_000;

/** For each column of ours that is read by words, what stands in its cells, most frequent first; at most 2,000 words. */
export function wordsIn({
  mapping,
  columns,
  records,
}: Pick<TrialInput, "mapping" | "columns" | "records">): ReadonlyMap<string, readonly TriedWord[]> {
  const mapper = rowMapper(mapping, columns);
  const found = new Map<string, readonly TriedWord[]>();
  for (const [column, { read }] of Object.entries(mapping.columns)) {
    if (read.as !== "words") continue;
    const lookup = wordLookup(read);
    const words = new Map<string, TriedWord>();
    for (const { cells, flaw } of records) {
      const word = flaw === null ? mapper.sentValue(cells, column).trim() : "";
      const form = wordForm(word);
      const before = words.get(form);
      if (form === "" || (!before && words.size >= WORD_LIMIT)) continue;
      words.set(form, { word: before?.word ?? word, count: (before?.count ?? 0) + 1, known: lookup(word).found });
    }
    found.set(
      column,
      [...words.values()].toSorted((one, other) => other.count - one.count),
    );
  }
  return found;
}
