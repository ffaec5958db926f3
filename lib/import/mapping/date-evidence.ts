import { orderWords } from "@/lib/import/mapping/dates";
import { type CalendarOrder, calendarOrders, type DateOrder } from "@/lib/import/mapping/mapping";
import { readMoment, splitPlain } from "@/lib/import/mapping/moments";
import { shown } from "@/lib/import/quote";
import { compareText } from "@/lib/kernel/text";

/** A value of the file and the line it stands on. */
export type Sample = { readonly line: number; readonly value: string };

/**
 * What the texts of one column say of the order of its dates, in constant memory.
 *
 * An order is refuted by a date that some other order can read and it cannot. A text no order can read says nothing.
 */
export class DateEvidence {
  /** First date that the order cannot read though another can, and how many there are. */
  readonly against = new Map<CalendarOrder, { readonly first: Sample; count: number }>();
  /** Dates that were read in some order. */
  dates = 0;
  /** For each of the pairs of orders, the first date on which the two differ. */
  private readonly doubts: (Sample | undefined)[] = [];
  private readonly days = new Map<string, Seen>();
  private readonly steps = new Map<DateOrder, Steps>();

  /** `known` is the order of a column that cannot be read in another; only its steps in time are looked at. */
  constructor(private readonly known: DateOrder | null = null) {}

  /** Takes the text of one row; empty ones say nothing. */
  take(text: string, line: number): void {
    if (text === "") return;
    if (this.known !== null) {
      const result = readMoment(text, this.known);
      if (result.ok) this.step(this.known, result.moment.date, result.moment.time);
      return;
    }
    const plain = splitPlain(text);
    const seen = plain === null ? whatIs(text) : this.remembered(plain.date);
    if (seen.read.length === 0) return;
    this.dates += 1;
    for (const { order, date, time } of seen.read) this.step(order, date, plain?.time ?? time);
    for (const order of seen.unread) {
      const known = this.against.get(order);
      if (known) known.count += 1;
      else this.against.set(order, { first: { line, value: shown(text) }, count: 1 });
    }
    for (const pair of seen.differing) this.doubts[pair] ??= { line, value: shown(text) };
  }

  /** First date that two of these orders read as different days; null when there is none. */
  doubtful(orders: readonly CalendarOrder[]): Sample | null {
    const found = pairs.findIndex((pair, place) => this.doubts[place] && pair.every((order) => orders.includes(order)));
    return this.doubts[found] ?? null;
  }

  /** Orders that read every date of the column. */
  possible(): CalendarOrder[] {
    return calendarOrders.filter((order) => !this.against.has(order));
  }

  /** Steps forward and backward in time from row to row, in one order. */
  stepsOf(order: DateOrder): { readonly up: number; readonly down: number } {
    return this.steps.get(order) ?? { up: 0, down: 0 };
  }

  /** The order, of those given, in which alone the rows go one way in time; null when that holds for none or for several. */
  steady(orders: readonly CalendarOrder[]): CalendarOrder | null {
    const straight = orders.filter((order) => {
      const { up, down } = this.stepsOf(order);
      return up + down >= 3 && Math.min(up, down) === 0;
    });
    const [only] = straight;
    return straight.length === 1 && only ? only : null;
  }

  /** What a date in digits is in each order; remembered, as rows share their days. */
  private remembered(date: string): Seen {
    const known = this.days.get(date);
    if (known) return known;
    const seen = whatIs(date);
    if (this.days.size >= DAYS_KEPT) this.days.clear();
    this.days.set(date, seen);
    return seen;
  }

  private step(order: DateOrder, date: string, time: string | null): void {
    const known = this.steps.get(order);
    if (!known) {
      this.steps.set(order, { date, time: time ?? "", up: 0, down: 0 });
      return;
    }
    const later = date === known.date ? compareText(time ?? "", known.time) : compareText(date, known.date);
    if (later > 0) known.up += 1;
    else if (later < 0) known.down += 1;
    known.date = date;
    known.time = time ?? "";
  }
}

type Steps = { date: string; time: string; up: number; down: number };
/** A text in the orders that can read it, the orders that cannot, and the pairs of orders that differ on it. */
type Seen = {
  readonly read: readonly { readonly order: CalendarOrder; readonly date: string; readonly time: string | null }[];
  readonly unread: readonly CalendarOrder[];
  readonly differing: readonly number[];
};
const DAYS_KEPT = 20_000;
const pairs = [
  ["day_first", "month_first"],
  ["year_first", "day_first"],
  ["year_first", "month_first"],
] as const;

function whatIs(text: string): Seen {
  const read = calendarOrders.flatMap((order) => {
    const result = readMoment(text, order);
    return result.ok ? [{ order, date: result.moment.date, time: result.moment.time }] : [];
  });
  const dateIn = (order: CalendarOrder) => read.find((one) => one.order === order)?.date;
  const differing = pairs.flatMap(([one, other], place) => {
    const dates = [dateIn(one), dateIn(other)];
    return dates.includes(undefined) || dates[0] === dates[1] ? [] : [place];
  });
  return { read, unread: calendarOrders.filter((order) => dateIn(order) === undefined), differing };
}

/** Why an order is out, in words: `line 7 has 23/04/2026, which cannot be month first`. */
export function refutation(order: CalendarOrder, { line, value }: Sample): string {
  return `line ${line} has ${value}, which cannot be ${orderWords[order]}`;
}
