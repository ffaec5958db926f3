import { type MappingDraft, mappingSchema, unmadeColumns } from "@/lib/import/mapping/mapping";
import type { Question } from "@/lib/import/mapping/settle";
import type { TableFormat } from "@/lib/import/table/table-format";
import type { FileKind } from "@/lib/records/files";
import type { Context } from "@/lib/services/context";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { type LookedAt, lookAtFile } from "@/lib/services/import/look-at-file";
import { showMapping } from "@/lib/services/mappings";
import { requirePermission } from "@/lib/services/permissions";
import type { MappingName, PlannedFile, StagedReading } from "@/lib/services/staged-reading";

/** How a file was cut into cells, and what should be known of that. */
export type FileForm = TableFormat & { readonly note: string | null; readonly sheets: readonly string[] };

/** A word no mapping knows, in how many rows it stands, and the column of ours it is read for. */
export type UnknownWord = { readonly column: string; readonly word: string; readonly count: number };

/** What is known of a file before anything of it is stored. */
export type FileDescription = {
  /** Whether it can be imported, needs a person first, or cannot be read. */
  readonly state: "ready" | "asks" | "unreadable";
  readonly kind: FileKind | null;
  readonly form: FileForm | null;
  /** Where its reading comes from: our own columns, a saved mapping, a person, a draft a person left, or a guess. */
  readonly by: "own_columns" | "saved" | "chosen" | "draft" | "guess" | null;
  readonly saved: MappingName | null;
  /** Names of the saved mappings that were made for just its columns. */
  readonly fitting: readonly string[];
  /** Rows looked at, whether that is all, and how many of them would be refused, or wait for a site or detector. */
  readonly seen: {
    readonly rows: number;
    readonly whole: boolean;
    readonly refused: number;
    readonly waits: number;
  };
  /** Columns of ours that are needed and that nothing is said of. */
  readonly missing: readonly string[];
  readonly questions: readonly Question[];
  /** Words without a meaning, most frequent first. */
  readonly unknownWords: readonly UnknownWord[];
  /** Why it cannot be read, and what to do; null when it can. */
  readonly flaw: string | null;
  /** The mapping it is read by, finished or not. */
  readonly draft: MappingDraft | null;
  /** How an import is told to read it; null unless it is ready. */
  readonly order: PlannedFile | null;
};

/** Describes a file that waits to be imported, from its first rows; nothing of it is stored. */
export async function describeFile(
  context: Context,
  { name, path, staged }: { name: string; path: string; staged: StagedReading | null },
): Promise<FileDescription> {
  requirePermission(context, "import");
  const look = { draft: staged?.draft ?? null, saved: null, table: {} };
  try {
    const found = await lookAtFile(context.store, { name, path, look, saved: null });
    return { ...descriptionOf(found, { staged }), order: await orderOf(context, found, { name, staged }) };
  } catch (thrown) {
    if (thrown instanceof FileFlaw) return unreadable(thrown.message, staged?.draft ?? null);
    throw thrown;
  }
}

function descriptionOf(found: LookedAt, { staged }: { staged: StagedReading | null }): Omit<FileDescription, "order"> {
  const { table, sheets, sample, chosen, questions, trial } = found;
  const { draft } = chosen;
  const saved = chosen.saved ?? staged?.saved ?? null;
  return {
    state: isReady(found, staged) ? "ready" : "asks",
    kind: draft.kind,
    form: { ...table.format, note: table.note, sheets },
    by: chosen.by === "draft" && staged?.settled === true ? "chosen" : chosen.by,
    saved: saved && { name: saved.name, version: saved.version },
    fitting: chosen.fitting.map((one) => one.name),
    seen: {
      rows: sample.records.length,
      whole: sample.whole,
      refused: trial.counts.refused,
      waits: trial.counts.waits,
    },
    missing: unmadeColumns(draft),
    questions,
    unknownWords: unknownWords(found),
    flaw: null,
    draft,
  };
}

function isReady({ chosen, questions, sample }: LookedAt, staged: StagedReading | null): boolean {
  // What the first rows of a long file leave open, an import may settle by all of them.
  if ((questions.length > 0 && sample.whole) || unmadeColumns(chosen.draft).length > 0) return false;
  return chosen.unasked || staged?.settled === true;
}

/** How an import is told to read a file; null while it has something to ask. */
async function orderOf(
  context: Context,
  found: LookedAt,
  { name, staged }: { name: string; staged: StagedReading | null },
): Promise<PlannedFile | null> {
  if (!isReady(found, staged)) return null;
  if (found.chosen.by === "own_columns") return { name };
  const mapping = mappingSchema.parse(found.chosen.draft);
  const saved = found.chosen.saved ?? (staged?.saved ? await showMapping(context, staged.saved) : null);
  return saved ? { name, mapping, mappingVersionKey: saved.versionKey } : { name, mapping };
}

function unknownWords({ trial }: LookedAt): UnknownWord[] {
  const words = [...trial.words].flatMap(([column, list]) =>
    list.flatMap(({ word, count, known }) => (known ? [] : [{ column, word, count }])),
  );
  return words.toSorted((one, other) => other.count - one.count);
}

function unreadable(flaw: string, draft: MappingDraft | null): FileDescription {
  return {
    state: "unreadable",
    kind: null,
    form: null,
    by: null,
    saved: null,
    fitting: [],
    seen: { rows: 0, whole: true, refused: 0, waits: 0 },
    missing: [],
    questions: [],
    unknownWords: [],
    flaw,
    draft,
    order: null,
  };
}
