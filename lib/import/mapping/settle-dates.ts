import { type DateEvidence, refutation, type Sample } from "@/lib/import/mapping/date-evidence";
import { orderWords } from "@/lib/import/mapping/dates";
import type { ColumnEvidence } from "@/lib/import/mapping/evidence";
import { type CalendarOrder, calendarOrders, type MappingDraft } from "@/lib/import/mapping/mapping";
import { readMoment } from "@/lib/import/mapping/moments";
import type { Question } from "@/lib/import/mapping/settle";

type Column = ColumnEvidence<DateEvidence>;

/** What the dates of a file say: the order of each column that was open, why, and what is left to ask. */
export type SettledDates = {
  readonly orders: ReadonlyMap<string, CalendarOrder>;
  readonly notes: readonly string[];
  readonly questions: readonly Question[];
};

/**
 * Settles the order of the dates of all columns together, since one file has one way of writing them; when its columns
 * contradict one another, each alone. A stated order is kept, unless more dates speak against it than for it.
 */
export function settleDates(mapping: MappingDraft, columns: readonly Column[]): SettledDates {
  const orders = new Map<string, CalendarOrder>();
  const notes: string[] = [];
  const questions: Question[] = [];
  const open: Column[] = [];
  for (const column of columns) {
    const read = mapping.columns[column.column]?.read;
    if (read?.as !== "moment") continue;
    const stated = calendarOrders.find((order) => read.order === order);
    if (read.order !== null && stated === undefined) continue;
    if (stated === undefined) open.push(column);
    else {
      questions.push(...contradicted(stated, column));
      notes.push(...unsteady(stated, column));
    }
  }
  const together = possibleIn(open).length > 0;
  for (const group of together ? [open] : open.map((one) => [one])) {
    if (group.length === 0) continue;
    const possible = possibleIn(group);
    const [first] = possible;
    const doubtful = doubtIn(group, possible);
    if (first === undefined) questions.push(mixed(group));
    else if (doubtful) questions.push(ambiguous(group, possible, doubtful));
    else {
      for (const { column } of group) orders.set(column, first);
      if (doubtIn(group, calendarOrders)) notes.push(decided(group, first));
    }
  }
  return { orders, notes, questions };
}

function possibleIn(columns: readonly Column[]): CalendarOrder[] {
  return calendarOrders.filter((order) => columns.every(({ seen }) => seen.possible().includes(order)));
}

function doubtIn(columns: readonly Column[], orders: readonly CalendarOrder[]): Sample | null {
  return columns.flatMap(({ seen }) => seen.doubtful(orders) ?? [])[0] ?? null;
}

function readAs(text: string, order: CalendarOrder): string | null {
  const result = readMoment(text, order);
  return result.ok ? result.moment.date : null;
}

function decided(group: readonly Column[], order: CalendarOrder): string {
  const why = calendarOrders.flatMap((other) => {
    const against = group.flatMap(({ seen }) => seen.against.get(other)?.first ?? [])[0];
    return other === order || !against ? [] : [refutation(other, against)];
  });
  return `dates are read ${orderWords[order]}: ${[...new Set(why)].join("; ")}`;
}

function ambiguous(group: readonly Column[], possible: readonly CalendarOrder[], sample: Sample): Question {
  return question(group, {
    value: sample.value,
    orders: possible,
    reason: `${sample.value} on line ${sample.line} can be read in several ways, and no date of the file decides between them`,
  });
}

function mixed(group: readonly Column[]): Question {
  const against = calendarOrders.flatMap((order) => {
    const found = group.flatMap(({ seen }) => seen.against.get(order) ?? [])[0];
    return found ? [{ order, ...found }] : [];
  });
  const reason = against.map(({ order, first }) => refutation(order, first)).join("; ");
  const likeliest = against.toSorted((a, b) => b.count - a.count)[0];
  return question(group, {
    value: likeliest?.first.value ?? "",
    orders: calendarOrders,
    reason: `the dates contradict one another: ${reason}. Mend the file, or choose an order; rows that cannot be read in it are refused`,
  });
}

/** A stated order that more dates speak against than for: most likely a file from elsewhere. */
function contradicted(stated: CalendarOrder, column: Column): Question[] {
  const { seen } = column;
  const against = seen.against.get(stated);
  if (!against) return [];
  const better = calendarOrders.filter((order) => (seen.against.get(order)?.count ?? 0) < against.count);
  if (better.length === 0) return [];
  const reason = `the mapping says ${orderWords[stated]}, but ${refutation(stated, against.first)}, and so have ${against.count} of ${seen.dates} dates`;
  return [question([column], { value: against.first.value, orders: better, reason })];
}

/** Rows that jump in the stated order and follow one another in time in another: said, since no date excludes the stated one. */
function unsteady(stated: CalendarOrder, { source, seen }: Column): string[] {
  const other = seen.steady(seen.possible());
  if (other === null || other === stated || seen.doubtful([stated, other]) === null) return [];
  return [
    `${source.columns.join(", ")} is read ${orderWords[stated]} as the mapping says, but its rows follow one another in time only when read ${orderWords[other]}; check some rows`,
  ];
}

function question(
  group: readonly Column[],
  { value, orders, reason }: { value: string; orders: readonly CalendarOrder[]; reason: string },
): Question {
  const steady = group.flatMap(({ seen }) => seen.steady(orders) ?? []);
  const [suggestion] = new Set(steady).size === 1 ? steady : [];
  return {
    about: "dates",
    columns: [...new Set(group.flatMap(({ source }) => source.columns))],
    ours: group.map(({ column }) => column),
    sample: value,
    reason: suggestion ? `${reason}; the rows follow one another in time when read ${orderWords[suggestion]}` : reason,
    options: orders.map((order) => ({
      answer: order,
      label: orderWords[order],
      reads: readAs(value, order),
      suggested: order === suggestion,
    })),
  };
}
