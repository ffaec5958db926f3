import { orderWords } from "@/lib/import/mapping/dates";
import { type CalendarOrder, calendarOrders, type DateOrder } from "@/lib/import/mapping/mapping";
import { readMoment } from "@/lib/import/mapping/moments";
import { shown } from "@/lib/import/quote";

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
  private readonly doubts: { readonly days: ReadonlyMap<CalendarOrder, string>; readonly sample: Sample }[] = [];
  private readonly steps = new Map<DateOrder, { last: string; up: number; down: number }>();

  /** `known` is the order of a column that cannot be read in another; only its steps in time are looked at. */
  constructor(private readonly known: DateOrder | null = null) {}

  /** Takes the text of one row; empty ones say nothing. */
  take(text: string, line: number): void {
    if (text === "") return;
    if (this.known !== null) {
      const result = readMoment(text, this.known);
      if (result.ok) this.step(this.known, `${result.moment.date}T${result.moment.time ?? ""}`);
      return;
    }
    const days = new Map<CalendarOrder, string>();
    // A year of four digits that stands first is read alike in every order.
    const alike = /^\d{4}\D/.test(text) ? readMoment(text, "year_first") : null;
    for (const order of calendarOrders) {
      const result = alike ?? readMoment(text, order);
      if (!result.ok) continue;
      days.set(order, result.moment.date);
      this.step(order, `${result.moment.date}T${result.moment.time ?? ""}`);
    }
    if (days.size === 0) return;
    this.dates += 1;
    if (alike !== null) return;
    const sample = { line, value: shown(text) };
    for (const order of calendarOrders) {
      if (days.has(order)) continue;
      const known = this.against.get(order);
      if (known) known.count += 1;
      else this.against.set(order, { first: sample, count: 1 });
    }
    this.keepDoubt(days, sample);
  }

  /** First date that two of these orders read as different days; null when there is none. */
  doubtful(orders: readonly CalendarOrder[]): Sample | null {
    const found = this.doubts.find(({ days }) => differing(days, orders));
    return found?.sample ?? null;
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

  /** Keeps the first date for each pair of orders that differ on it: three at most. */
  private keepDoubt(days: ReadonlyMap<CalendarOrder, string>, sample: Sample): void {
    const isNew = pairs.some((pair) => differing(days, pair) && this.doubtful(pair) === null);
    if (isNew) this.doubts.push({ days, sample });
  }

  private step(order: DateOrder, moment: string): void {
    const known = this.steps.get(order);
    if (!known) {
      this.steps.set(order, { last: moment, up: 0, down: 0 });
      return;
    }
    if (moment > known.last) known.up += 1;
    else if (moment < known.last) known.down += 1;
    known.last = moment;
  }
}

const pairs = [
  ["day_first", "month_first"],
  ["year_first", "day_first"],
  ["year_first", "month_first"],
] as const;

function differing(days: ReadonlyMap<CalendarOrder, string>, orders: readonly CalendarOrder[]): boolean {
  const read = orders.flatMap((order) => days.get(order) ?? []);
  return new Set(read).size > 1;
}

/** Why an order is out, in words: `line 7 has 23/04/2026, which cannot be month first`. */
export function refutation(order: CalendarOrder, { line, value }: Sample): string {
  return `line ${line} has ${value}, which cannot be ${orderWords[order]}`;
}
