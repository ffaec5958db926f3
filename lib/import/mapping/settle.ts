import type { TableEvidence } from "@/lib/import/mapping/evidence";
import type { CalendarOrder, Mapping, MappingDraft } from "@/lib/import/mapping/mapping";
import type { DecimalSign } from "@/lib/import/mapping/numbers";
import { settleDates } from "@/lib/import/mapping/settle-dates";
import { settleDecimals } from "@/lib/import/mapping/settle-decimals";

/** Order of the rows of a file in time; panels print either the oldest or the newest first. */
export type RowOrder = "ascending" | "descending";

/** An answer a question may get: what to set in the mapping, how the sample reads then, and whether the rows' order in time speaks for it. */
export type QuestionOption<Answer extends string = CalendarOrder | DecimalSign> = {
  readonly answer: Answer;
  readonly label: string;
  /** How the sample reads then; null when it cannot be read so. */
  readonly reads: string | null;
  readonly suggested: boolean;
};

/** What the file leaves open: `columns` are theirs, `ours` the columns of ours whose rule the answer goes into. */
export type Question =
  | {
      readonly about: "dates";
      readonly columns: readonly string[];
      readonly ours: readonly string[];
      readonly sample: string;
      readonly reason: string;
      readonly options: readonly QuestionOption<CalendarOrder>[];
    }
  | {
      readonly about: "decimal";
      readonly columns: readonly string[];
      readonly ours: readonly string[];
      readonly sample: string;
      readonly reason: string;
      readonly options: readonly QuestionOption<DecimalSign>[];
    };

/** A mapping without open questions, with what was decided and why; or the questions that are left. */
export type Settled<Form extends MappingDraft = Mapping> =
  | { readonly ok: true; readonly mapping: Form; readonly notes: readonly string[]; readonly rowOrder: RowOrder }
  | { readonly ok: false; readonly questions: readonly Question[] };

/**
 * Settles a mapping's open questions by the evidence of one file.
 *
 * Only what excludes every other reading decides. What merely speaks for one, such as rows that go one way in time, is
 * shown with the question. A stated order or sign that most telling values contradict is asked about as well.
 */
export function settle<Form extends MappingDraft>(mapping: Form, evidence: TableEvidence): Settled<Form> {
  const dates = settleDates(mapping, evidence.dates);
  const decimals = settleDecimals(mapping, evidence.numbers);
  const questions = [...dates.questions, ...decimals.questions];
  if (questions.length > 0) return { ok: false, questions };
  const columns = { ...mapping.columns };
  for (const [column, order] of dates.orders) {
    const rule = columns[column];
    if (rule?.read.as === "moment") columns[column] = { ...rule, read: { ...rule.read, order } };
  }
  for (const [column, decimal] of decimals.signs) {
    const rule = columns[column];
    if (rule?.read.as === "number") columns[column] = { ...rule, read: { ...rule.read, decimal } };
  }
  const settled = { ...mapping, columns };
  const rowOrder = rowOrderOf(settled, evidence);
  const order = mapping.columns.phase
    ? [rowOrder === "ascending" ? "rows stand oldest first" : "rows stand newest first"]
    : [];
  return { ok: true, mapping: settled, notes: [...dates.notes, ...decimals.notes, ...order], rowOrder };
}

/** Which way the rows go in time, by the steps of their first moment; oldest first when there is nothing to go by. */
function rowOrderOf({ columns }: MappingDraft, { dates }: TableEvidence): RowOrder {
  for (const { column, seen } of dates) {
    const read = columns[column]?.read;
    const order = read?.as === "moment" ? read.order : "year_first";
    if (order === null) continue;
    const { up, down } = seen.stepsOf(order);
    if (up !== down) return down > up ? "descending" : "ascending";
  }
  return "ascending";
}
