import type { Doubt } from "@/lib/import/mapping/guess";
import { type MappingDraft, type NumberUnit, unmadeColumns } from "@/lib/import/mapping/mapping";
import type { Question } from "@/lib/import/mapping/settle";
import { unitsOf } from "@/lib/import/mapping/units";
import type { Context } from "@/lib/services/context";
import type { FileForm } from "@/lib/services/describe-file";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { type LookedAt, lookAtFile } from "@/lib/services/import/look-at-file";
import { type OfferedColumn, offeredColumns } from "@/lib/services/import/our-columns";
import type { Trial, TriedColumn, TriedRow, TriedWord } from "@/lib/services/import/try-mapping";
import { showMapping } from "@/lib/services/mappings";
import { requirePermission } from "@/lib/services/permissions";
import type { Look, MappingName } from "@/lib/services/staged-reading";

/** A column of the file with some of what stands in it. */
export type TheirColumn = { readonly name: string; readonly samples: readonly string[] };

/** A column of ours: what it is, how it may be read, and what the draft makes of it in the rows looked at. */
export type OurColumn = OfferedColumn &
  TriedColumn & {
    readonly units: readonly NumberUnit[];
    /** The words that stand in its cells, most frequent first. */
    readonly theirWords: readonly TriedWord[];
  };

/** A file as a draft reads it: nothing of it is stored. */
export type FilePreview = {
  readonly draft: MappingDraft;
  /** The saved mapping that the draft is; null for any other. */
  readonly saved: MappingName | null;
  readonly form: FileForm | null;
  readonly theirs: readonly TheirColumn[];
  readonly ours: readonly OurColumn[];
  readonly rows: readonly TriedRow[];
  /** Rows looked at, whether that is all, and what would become of them. */
  readonly seen: { readonly rows: number; readonly whole: boolean } & Trial["counts"];
  readonly missing: readonly string[];
  readonly questions: readonly Question[];
  /** What in a guess only a person can confirm; empty for a draft of a person. */
  readonly doubts: readonly Doubt[];
  /** Some ids of detectors that are known, to compare those of the file with. */
  readonly knownIds: readonly string[];
  /** Why the file cannot be read so, and what to do; null when it can. */
  readonly flaw: string | null;
};

/**
 * What a file would become, read by a draft, a saved mapping or a guess; nothing of it is stored.
 *
 * @throws AppError not_found when there is no saved mapping of the name asked for
 */
export async function previewFile(
  context: Context,
  { name, path, look }: { name: string; path: string; look: Look },
): Promise<FilePreview> {
  requirePermission(context, "import");
  const saved = look.saved === null ? null : await showMapping(context, { name: look.saved });
  try {
    return previewOf(await lookAtFile(context.store, { name, path, look, saved }));
  } catch (thrown) {
    if (!(thrown instanceof FileFlaw)) throw thrown;
    return unreadable(thrown.message, look.draft ?? saved?.mapping ?? emptyDraft(look));
  }
}

function previewOf({ table, sheets, sample, chosen, questions, trial, knownIds }: LookedAt): FilePreview {
  const { draft, saved, doubts } = chosen;
  return {
    draft,
    saved: saved && { name: saved.name, version: saved.version },
    form: { ...table.format, note: table.note, sheets },
    theirs: theirColumns({ table, sample }),
    ours: offeredColumns(draft.kind).map((offered) => ourColumn(offered, trial)),
    rows: trial.rows,
    seen: { rows: sample.records.length, whole: sample.whole, ...trial.counts },
    missing: unmadeColumns(draft),
    questions,
    doubts,
    knownIds,
    flaw: null,
  };
}

const untried: TriedColumn = { filled: 0, refused: 0, problem: null, example: null };

function ourColumn(offered: OfferedColumn, { columns, words }: Trial): OurColumn {
  const { column } = offered;
  return {
    ...offered,
    ...(columns.get(column) ?? untried),
    units: unitsOf(column),
    theirWords: words.get(column) ?? [],
  };
}

const SAMPLE_ROWS = 500;
const SAMPLES = 3;

function theirColumns({ table, sample }: Pick<LookedAt, "table" | "sample">): TheirColumn[] {
  const rows = sample.records.slice(0, SAMPLE_ROWS);
  return table.columns.map((name, place) => {
    const cells = rows.map(({ cells: row }) => (row[place] ?? "").trim()).filter((cell) => cell !== "");
    return { name, samples: [...new Set(cells)].slice(0, SAMPLES).map((cell) => cell.slice(0, 100)) };
  });
}

function emptyDraft({ kind = "readings", table }: Look): MappingDraft {
  return { form: 1, kind, table, columns: {}, madeFor: [] };
}

function unreadable(flaw: string, draft: MappingDraft): FilePreview {
  return {
    draft,
    saved: null,
    form: null,
    theirs: [],
    ours: [],
    rows: [],
    seen: { rows: 0, whole: true, ready: 0, joins: 0, left_out: 0, waits: 0, refused: 0 },
    missing: [],
    questions: [],
    doubts: [],
    knownIds: [],
    flaw,
  };
}
