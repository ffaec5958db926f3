import type { Span } from "@/lib/kernel/interval";
import { addDays, localDateOf, type Month, startOfDay, type TimeZone } from "@/lib/kernel/time";

/** A calendar month in a zone as a stretch of time. */
export type MonthSpan = Span & { readonly month: Month };

/** The last `count` calendar months in a zone, oldest first; the last is the one of the moment just before `asOf`. */
export function lastMonths(asOf: number, { zone, count }: { zone: TimeZone; count: number }): MonthSpan[] {
  const months: MonthSpan[] = [];
  let first = `${localDateOf(asOf - 1, zone).slice(0, 7)}-01`;
  let endAt = startOfDay(`${addDays(first, 31).slice(0, 7)}-01`, zone);
  while (months.length < count) {
    const startAt = startOfDay(first, zone);
    months.push({ month: first.slice(0, 7), startAt, endAt });
    endAt = startAt;
    first = `${addDays(first, -1).slice(0, 7)}-01`;
  }
  return months.reverse();
}

/** Length of disjoint, sorted spans inside each of the sorted months, in milliseconds. */
export function lengthByMonth(spans: readonly Span[], months: readonly Span[]): number[] {
  const lengths = months.map(() => 0);
  let month = 0;
  for (const span of spans) {
    while (month < months.length && (months[month]?.endAt ?? Infinity) <= span.startAt) month += 1;
    for (let index = month; index < months.length; index += 1) {
      const at = months[index];
      if (!at || at.startAt >= span.endAt) break;
      const inside = Math.min(at.endAt, span.endAt) - Math.max(at.startAt, span.startAt);
      lengths[index] = (lengths[index] ?? 0) + Math.max(0, inside);
    }
  }
  return lengths;
}

/** Number of moments inside each of the sorted months. */
export function countByMonth(moments: readonly number[], months: readonly Span[]): number[] {
  return months.map(({ startAt, endAt }) => moments.filter((at) => at >= startAt && at < endAt).length);
}
