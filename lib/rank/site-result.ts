import { isFalseAlarm } from "@/lib/analyse/episodes";
import type { DetectorHistory, SiteHistory } from "@/lib/analyse/history";
import { lengthOf, within } from "@/lib/kernel/interval";
import { monthOf } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { limitChecks } from "@/lib/rank/limits";
import { type MonthCounts, monthFigures, rateOf } from "@/lib/rank/month-figures";
import type { RankedDetector, SiteResult } from "@/lib/rank/result";
import { type LevelDoubt, summedCost } from "@/lib/rank/summed-cost";
import type { Settings } from "@/lib/settings/settings";

/** A ranked detector with what sums over detectors need: the variance of its expected cost. */
export type RankedMember = {
  readonly history: DetectorHistory;
  readonly ranked: RankedDetector;
  readonly costVariance: number;
};

/** Everything a screen says of one site, from its detectors' results. */
export function siteResult(
  site: SiteHistory,
  {
    members,
    rising,
    counts,
    levelDoubt,
    firstRecordAt,
    asOf,
    settings,
  }: {
    members: readonly RankedMember[];
    rising: SiteResult["rising"];
    counts: readonly MonthCounts[];
    levelDoubt: LevelDoubt;
    firstRecordAt: number;
    asOf: number;
    settings: Settings;
  },
): SiteResult {
  const histories = members.map(({ history }) => history);
  const year = { startAt: asOf - 365 * DAY_MS, endAt: asOf };
  const observedDays = histories.reduce((sum, { exposure }) => sum + days(exposure.observed, year), 0);
  const serviceDays = histories.reduce((sum, { exposure }) => sum + days(exposure.inService, year), 0);
  const faults12m = countOf(histories, ({ faults }) => faults.filter(({ beganAt }) => beganAt >= year.startAt).length);
  const falseAlarms12m = countOf(
    histories,
    ({ fires }) => fires.filter((fire) => isFalseAlarm(fire) && fire.beganAt >= year.startAt).length,
  );
  const beams = members.length;
  const onSystem = site.site.detectorsOnSystem ?? beams;
  const worthwhile = members.filter(({ ranked }) => ranked.visit.netBenefit > 0);
  return {
    siteId: site.site.siteId,
    detectors: beams,
    detectorDays: observedDays,
    faultRate: rateOf(faults12m, observedDays / 36_525),
    // The system's other detectors are taken as observed for as long as the beams were.
    falseAlarmRate: rateOf(falseAlarms12m, beams > 0 ? ((observedDays / beams) * onSystem) / 36_525 : 0),
    falseAlarmBase: site.site.detectorsOnSystem === null ? "100 beam detectors" : "100 detectors of the system",
    faults12m,
    falseAlarms12m,
    commonCause: site.commonCause,
    rising,
    limits: limitChecks(histories, { onSystem, asOf, settings }),
    testsOverdue: members.filter(({ ranked }) => ranked.record.testOverdueDays !== null).length,
    expectedCost: summedCost(members, { settings, levelDoubt }),
    worthwhileVisits: worthwhile.length,
    netBenefit: worthwhile.reduce((sum, { ranked }) => sum + ranked.visit.netBenefit, 0),
    months: monthFigures(counts, { firstMonth: monthOf(firstRecordAt, site.site.timeZone) }),
    lastRecordAt: site.hearing.lastRecordAt,
    completeness: serviceDays > 0 ? observedDays / serviceDays : null,
  };
}

function days(spans: DetectorHistory["exposure"]["observed"], year: { startAt: number; endAt: number }): number {
  return lengthOf(within(spans, year)) / DAY_MS;
}

function countOf(histories: readonly DetectorHistory[], count: (history: DetectorHistory) => number): number {
  return histories.reduce((sum, history) => sum + count(history), 0);
}
