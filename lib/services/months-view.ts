import { monthOf, type TimeZone } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import type { MonthFigures } from "@/lib/rank/result";

/** How much of the last month must have passed to be shown: a rate of a few hours is noise. */
const LEAST_DAYS = 14;
const MONTHS_SHOWN = 24;

/** The last 24 months of which at least 14 days have passed at the as-of moment, oldest first. */
export function monthsInView(
  months: readonly MonthFigures[],
  { asOf, zone }: { asOf: number; zone: TimeZone },
): MonthFigures[] {
  const last = monthOf(asOf - LEAST_DAYS * DAY_MS, zone);
  return months.filter(({ month }) => month <= last).slice(-MONTHS_SHOWN);
}
