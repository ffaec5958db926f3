import { isFalseAlarm } from "@/lib/analyse/episodes";
import type { DetectorHistory, SiteHistory } from "@/lib/analyse/history";
import { countByMonth, lastMonths, lengthByMonth, type MonthSpan } from "@/lib/analyse/months";
import type { Estimate } from "@/lib/kernel/interval";
import { compareText } from "@/lib/kernel/text";
import { DAY_MS } from "@/lib/kernel/units";
import { overdueDays, provedAt } from "@/lib/rank/detector-record";
import type { MonthFigures } from "@/lib/rank/result";
import { poissonRateInterval } from "@/lib/statistics/poisson-rate";

/** Plain counts of one month; rates are made from them when they have been added up. */
export type MonthCounts = Omit<MonthFigures, "faultRate" | "falseAlarmRate">;

const SHOWN_MONTHS = 36;
const YEAR_MONTHS = 12;
const MONTH_DAYS = 30.44;

/** Counts of a site by month of its own zone, oldest first; eleven more months than are shown, for yearly rates. */
export function monthCounts(
  histories: readonly DetectorHistory[],
  { site, asOf, intervalDays }: { site: SiteHistory; asOf: number; intervalDays: number },
): MonthCounts[] {
  const months = lastMonths(asOf, { zone: site.site.timeZone, count: SHOWN_MONTHS + YEAR_MONTHS - 1 });
  const sums = months.map(() => ({ service: 0, ms: 0, faults: 0, alarms: 0, overdue: 0 }));
  for (const history of histories) addDetector(sums, { history, months, asOf, intervalDays });
  const common = countByMonth(
    site.commonCause.map(({ beganAt }) => beganAt),
    months,
  );
  return months.map(({ month }, index) => ({
    month,
    detectorsInService: sums[index]?.service ?? 0,
    detectorDays: (sums[index]?.ms ?? 0) / DAY_MS,
    faultEpisodes: sums[index]?.faults ?? 0,
    falseAlarms: sums[index]?.alarms ?? 0,
    commonCauseEpisodes: common[index] ?? 0,
    testsOverdue: sums[index]?.overdue ?? 0,
  }));
}

/** Month counts of several sites added up by calendar month; the months of the first must be those of all. */
export function addMonths(lists: readonly (readonly MonthCounts[])[]): MonthCounts[] {
  const byMonth = new Map<string, MonthCounts>();
  for (const counts of lists.flat()) {
    const sum = byMonth.get(counts.month);
    byMonth.set(counts.month, sum === undefined ? counts : added(sum, counts));
  }
  return [...byMonth.values()].sort((a, b) => compareText(a.month, b.month));
}

/** Months as they are shown: at most 36, none before the first record, with their rates. */
export function monthFigures(counts: readonly MonthCounts[], { firstMonth }: { firstMonth: string }): MonthFigures[] {
  const shownFrom = Math.max(0, counts.length - SHOWN_MONTHS);
  return counts.flatMap((month, index) => {
    if (index < shownFrom || month.month < firstMonth) return [];
    const year = counts.slice(Math.max(0, index - YEAR_MONTHS + 1), index + 1);
    const yearDays = year.reduce((sum, one) => sum + one.detectorDays, 0);
    const yearAlarms = year.reduce((sum, one) => sum + one.falseAlarms, 0);
    return [
      {
        ...month,
        faultRate: rateOf(month.faultEpisodes, month.detectorDays / (100 * MONTH_DAYS)),
        falseAlarmRate: rateOf(yearAlarms, yearDays / 36_525),
      },
    ];
  });
}

/** A rate with its exact 95 % limits as an estimate; null without exposure. */
export function rateOf(count: number, exposure: number): Estimate | null {
  if (!(exposure > 0)) return null;
  const { rate, low, high } = poissonRateInterval(count, exposure, { level: 0.95 });
  return { mean: rate, low, high };
}

type Sums = { service: number; ms: number; faults: number; alarms: number; overdue: number };

function addDetector(
  sums: readonly Sums[],
  {
    history,
    months,
    asOf,
    intervalDays,
  }: { history: DetectorHistory; months: readonly MonthSpan[]; asOf: number; intervalDays: number },
): void {
  const lengths = lengthByMonth(history.exposure.observed, months);
  const faults = countByMonth(
    history.faults.map(({ beganAt }) => beganAt),
    months,
  );
  const alarms = countByMonth(
    history.fires.filter(isFalseAlarm).map(({ beganAt }) => beganAt),
    months,
  );
  const proved = provedAt(history);
  for (const [index, sum] of sums.entries()) {
    const endAt = Math.min(asOf, months[index]?.endAt ?? asOf);
    if (history.installedAt < endAt) sum.service += 1;
    if (overdueDays(proved, { at: endAt, intervalDays }) !== null) sum.overdue += 1;
    sum.ms += lengths[index] ?? 0;
    sum.faults += faults[index] ?? 0;
    sum.alarms += alarms[index] ?? 0;
  }
}

function added(a: MonthCounts, b: MonthCounts): MonthCounts {
  return {
    month: a.month,
    detectorsInService: a.detectorsInService + b.detectorsInService,
    detectorDays: a.detectorDays + b.detectorDays,
    faultEpisodes: a.faultEpisodes + b.faultEpisodes,
    falseAlarms: a.falseAlarms + b.falseAlarms,
    commonCauseEpisodes: a.commonCauseEpisodes + b.commonCauseEpisodes,
    testsOverdue: a.testsOverdue + b.testsOverdue,
  };
}
