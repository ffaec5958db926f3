import { isFalseAlarm } from "@/lib/analyse/episodes";
import { findingKinds } from "@/lib/analyse/findings/registry";
import type { FleetContext } from "@/lib/analyse/fleet-context";
import { outlookOf } from "@/lib/analyse/forecast/outlook";
import type { Estimate } from "@/lib/kernel/interval";
import { hourOfDay, monthOf, wallTimeOf } from "@/lib/kernel/time";
import { addMonths, type MonthCounts, monthFigures } from "@/lib/rank/month-figures";
import type { FleetResult } from "@/lib/rank/result";
import type { RankedMember } from "@/lib/rank/site-result";
import { spreadAround } from "@/lib/rank/spread";
import { type LevelDoubt, summedCost } from "@/lib/rank/summed-cost";

/** Everything a screen says of the whole fleet. */
export function fleetResult(
  fleet: FleetContext,
  {
    members,
    counts,
    effects,
  }: {
    members: readonly RankedMember[];
    counts: readonly (readonly MonthCounts[])[];
    effects: FleetResult["effects"];
  },
): FleetResult {
  const { history } = fleet;
  const added = addMonths(counts);
  return {
    sites: history.sites.length,
    detectors: members.length,
    months: monthFigures(added, { firstMonth: monthOf(history.firstRecordAt, "UTC") }),
    falseAlarmsByHour: alarmsByHour(members),
    falseAlarmsByMonthOfYear: alarmsByMonthOfYear(members, added),
    expectedFaults: sumOfCounts(fleet, "faults"),
    expectedUnwantedAlarms: sumOfCounts(fleet, "unwantedAlarms"),
    expectedCost: summedCost(members, { settings: history.settings, levelDoubt: levelDoubtOf(fleet) }),
    worthwhile: worthwhileOf(members),
    testsOverdue: members.filter(({ ranked }) => ranked.record.testOverdueDays !== null).length,
    effects,
    kinds: findingKinds.map(({ name }) => {
      const tested = members.filter(({ ranked }) => ranked.tests[name]?.outcome === "tested").length;
      return {
        kind: name,
        tested,
        tooLittleData: members.length - tested,
        listed: members.filter(({ ranked }) => ranked.findings.some(({ kind }) => kind === name)).length,
      };
    }),
  };
}

/** Doubt about the level of the fleet's forecasts, by kind; it is common to all detectors. */
export function levelDoubtOf({ forecastReports }: FleetContext): LevelDoubt {
  return { fault: forecastReports.fault.levelDoubt, alarm: forecastReports.alarm.levelDoubt };
}

// Limits never add: means and variances do, and the level is right or wrong for all at once.
function sumOfCounts(fleet: FleetContext, key: "faults" | "unwantedAlarms"): Estimate {
  const outlooks = [...fleet.forecasts.values()].map((forecast) => forecast[key]);
  const sum = outlooks.reduce((total, outlook) => total + outlook.mean, 0);
  const doubt = levelDoubtOf(fleet)[key === "faults" ? "fault" : "alarm"];
  const { mean, low, high } = outlookOf({
    mean: sum,
    variance: outlooks.reduce((total, outlook) => total + outlook.variance, (doubt * sum) ** 2),
  });
  return { mean, low, high };
}

function worthwhileOf(members: readonly RankedMember[]): FleetResult["worthwhile"] {
  const visits = members.map(({ ranked }) => ranked.visit).filter((visit) => visit.netBenefit > 0);
  // An interval's half width of 1.645 standard deviations gives each visit's variance back near enough for a sum.
  const variance = visits.reduce((sum, { avoidedCost }) => sum + ((avoidedCost.high - avoidedCost.low) / 3.29) ** 2, 0);
  const mean = visits.reduce((sum, { avoidedCost }) => sum + avoidedCost.mean, 0);
  const cost = visits.reduce((sum, visit) => sum + visit.cost, 0);
  return { visits: visits.length, cost, avoidedCost: spreadAround({ mean, variance }), netBenefit: mean - cost };
}

function alarmsByHour(members: readonly RankedMember[]): FleetResult["falseAlarmsByHour"] {
  const alarms = new Array<number>(24).fill(0);
  for (const { history } of members) {
    for (const fire of history.fires) {
      if (!isFalseAlarm(fire)) continue;
      const hour = Math.floor(hourOfDay(fire.beganAt, history.site.timeZone));
      alarms[hour] = (alarms[hour] ?? 0) + 1;
    }
  }
  return alarms.map((count, hour) => ({ hour, alarms: count }));
}

function alarmsByMonthOfYear(
  members: readonly RankedMember[],
  counts: readonly MonthCounts[],
): FleetResult["falseAlarmsByMonthOfYear"] {
  const alarms = new Array<number>(12).fill(0);
  const first = counts[0]?.month ?? "";
  for (const { history } of members) {
    for (const fire of history.fires) {
      // Exposure is known for the counted months only, so older alarms are left out of this picture.
      if (!isFalseAlarm(fire) || monthOf(fire.beganAt, history.site.timeZone) < first) continue;
      const month = wallTimeOf(fire.beganAt, history.site.timeZone).month - 1;
      alarms[month] = (alarms[month] ?? 0) + 1;
    }
  }
  return alarms.map((count, index) => ({
    month: index + 1,
    alarms: count,
    detectorDays: counts
      .filter(({ month }) => Number(month.slice(5, 7)) === index + 1)
      .reduce((sum, { detectorDays }) => sum + detectorDays, 0),
  }));
}
