import { type Candidate, candidatesOf } from "@/lib/import/mapping/guess/candidates";
import { chooseColumns } from "@/lib/import/mapping/guess/choose-columns";
import { columnContents } from "@/lib/import/mapping/guess/column-contents";
import { headerFit, headerForm, phaseWords } from "@/lib/import/mapping/guess/header-words";
import { guessPhase, guessReading } from "@/lib/import/mapping/guess/readings-of-columns";
import { tradeWord } from "@/lib/import/mapping/guess/trade-words";
import { type ColumnRule, type MappingDraft, nameable } from "@/lib/import/mapping/mapping";

/** What a guess is made from: the columns of a file, some of its rows, and its name. */
export type GuessInput = {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly name: string;
};

/** Something in a guess that only a person can confirm: the column of ours, and why. */
export type Doubt = { readonly column: string; readonly reason: string };

/** A draft of a mapping with what in it is in doubt. */
export type Guess = { readonly draft: MappingDraft; readonly doubts: readonly Doubt[] };

/** Rows, cells and columns a guess looks at; a header with more columns is most likely no header. */
const LOOKED_AT = { rows: 2_000, cells: 60_000, columns: 300 } as const;

/**
 * Guesses a mapping from the words of a header and from what stands in the cells.
 *
 * The order of dates and the decimal sign stay open, as the file's evidence decides them. What could be wrong and still
 * be accepted, such as a unit nobody names or a word taken for another, stands among the doubts and is for a person to
 * confirm. Words it does not know are left out of the lists, so that they show as unmapped.
 */
export function guessMapping({ columns, rows, name }: GuessInput): Guess {
  const named = nameable(columns);
  const enough = Math.min(LOOKED_AT.rows, Math.ceil(LOOKED_AT.cells / Math.max(1, columns.length)));
  const contents = columnContents(columns.slice(0, LOOKED_AT.columns), rows.slice(0, enough)).filter(({ name: one }) =>
    named.includes(one),
  );
  const candidates = candidatesOf(contents);
  const { kind, chosen } = chooseColumns(candidates, name);
  const rules = new Map<string, ColumnRule>();
  const doubts: Doubt[] = [];
  const add = (column: string, candidate: Candidate) => {
    const { read, doubts: found } = guessReading(column, candidate);
    rules.set(column, { parts: [...candidate.parts], read });
    doubts.push(...found.map((reason) => ({ column, reason })));
  };
  for (const [column, candidate] of chosen) {
    add(column, candidate);
    const own = candidate.columns.some((one) => headerForm(one.name) === column.replaceAll("_", " "));
    if (column.endsWith("_id") && !own) doubts.push({ column, reason: spelling(candidate) });
  }
  const condition = chosen.get("condition");
  if (kind === "events" && condition) {
    if (!chosen.has("cause") && namesCauses(condition)) add("cause", condition);
    const phase = chosen.has("ended_at") ? null : phaseRule(condition, candidates, chosen);
    if (phase) {
      rules.set("phase", phase);
      doubts.push({
        column: "phase",
        reason: "joins the rows that begin and end an event; check which words are which",
      });
    }
  }
  const cause = rules.get("cause");
  // A cause belongs to faults; words of other rows must not refuse them.
  if (kind === "events" && cause?.read.as === "words") {
    rules.set("cause", { ...cause, read: { ...cause.read, otherwise: { do: "use", ours: null } } });
  }
  return { draft: { form: 1, kind, table: {}, columns: Object.fromEntries(rules), madeFor: named }, doubts };
}

function spelling({ composed, columns }: Candidate): string {
  const names = columns.map((one) => one.name).join(", ");
  return composed
    ? `is put together from ${names}; make it spell the ids of your detectors file`
    : `is taken from ${names}; check that these are the ids of your own files`;
}

function namesCauses({ columns }: Candidate): boolean {
  return columns.some((one) =>
    one.values.some((value) => tradeWord("condition", value) === "fault" && tradeWord("cause", value) !== null),
  );
}

/** Rows of two phases: told by a column of its own, else by the words of the condition. */
function phaseRule(
  condition: Candidate,
  candidates: readonly Candidate[],
  chosen: ReadonlyMap<string, Candidate>,
): ColumnRule | null {
  const used = new Set([...chosen.values()].flatMap((one) => one.columns.map(({ name }) => name)));
  const own = candidates.filter(
    ({ columns: [only], composed, form }) =>
      !composed &&
      form === "text" &&
      only !== undefined &&
      !used.has(only.name) &&
      headerFit(only.name, { sure: phaseWords }) > 0,
  );
  for (const candidate of [...own, condition]) {
    const read = guessPhase(candidate);
    if (read) return { parts: [...candidate.parts], read };
  }
  return null;
}
