import type { CellReading } from "@/lib/import/mapping/mapping";
import { formOfColumn, unitsOf } from "@/lib/import/mapping/units";
import { columnsOf, type FileKind, requiredColumnsOf, rowSchemas } from "@/lib/records/files";
import { accessKinds, conditions, faultCauses, forms, taskResults, tasks, verdicts } from "@/lib/records/vocabulary";

/** A column of ours as an editor of mappings offers it. */
export type OfferedColumn = {
  readonly column: string;
  readonly required: boolean;
  readonly meaning: string;
  /** How it is read when nothing is said yet. */
  readonly usual: CellReading;
  /** The words it may hold; null where any text, time or number stands. */
  readonly words: readonly string[] | null;
};

const wordsOf: Readonly<Record<string, readonly string[]>> = {
  form: forms,
  access: accessKinds,
  condition: conditions,
  cause: faultCauses,
  verdict: verdicts,
  task: tasks,
  result: taskResults,
  reactive: ["true", "false"],
};

const steering = {
  row: { words: ["keep", "leave_out"], meaning: "Which rows are wanted and which are left out" },
  phase: {
    words: ["whole", "begin", "end"],
    meaning: "Whether a row is a whole event, or begins or ends one; two such rows are joined",
  },
} as const;

/** The columns of a kind of file in their order, needed ones first, then those that steer what becomes of a row. */
export function offeredColumns(kind: FileKind): OfferedColumn[] {
  const needed = requiredColumnsOf(kind);
  const shape: Record<string, { description?: string | undefined }> = rowSchemas[kind].shape;
  const own = columnsOf(kind).map((column) => ({
    column,
    required: needed.includes(column),
    meaning: shape[column]?.description ?? "",
    words: wordsOf[column] ?? null,
    usual: usualReading(column),
  }));
  const steers = (kind === "events" ? (["phase", "row"] as const) : (["row"] as const)).map((column) => {
    const { words, meaning } = steering[column];
    return { column, required: false, meaning, words, usual: wordReading(words[0]) };
  });
  return [...own.filter(({ required }) => required), ...own.filter(({ required }) => !required), ...steers];
}

function usualReading(column: string): CellReading {
  if (wordsOf[column]) return wordReading(null);
  const form = formOfColumn(column);
  if (form === "moment" || form === "day" || form === "clock") return { as: "moment", order: null, zone: "site" };
  const [unit] = unitsOf(column);
  return unit === undefined ? { as: "text" } : { as: "number", decimal: null, unit };
}

/** Words that are to be named yet; until then a word refuses its row, or gives `otherwise`. */
function wordReading(otherwise: string | null): CellReading {
  return {
    as: "words",
    match: "whole",
    words: [],
    otherwise: otherwise === null ? { do: "refuse" } : { do: "use", ours: otherwise },
  };
}
