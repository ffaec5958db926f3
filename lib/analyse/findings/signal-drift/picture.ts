import { awayOfFit, type DriftFit } from "@/lib/analyse/drift/fit";
import { bandWidth, type DaysToLimit, project } from "@/lib/analyse/drift/projection";
import { thermalOf, yearlyRange } from "@/lib/analyse/drift/thermal";
import { instantOf } from "@/lib/analyse/drift/weeks";
import type { DriftPicture } from "@/lib/analyse/picture";
import { signalPctOf } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

const WEEK_DAYS = 7;
const LONGEST_FORECAST_DAYS = 365;

/** Weekly medians with the line through each segment and the widening forecast. */
export function driftPicture(
  fit: DriftFit,
  { asOf, horizonDays, toLimit }: { asOf: number; horizonDays: number; toLimit: DaysToLimit },
): DriftPicture {
  const shown = (value: number) => (fit.quantity === "signal" ? signalPctOf(value) : Math.max(0, Math.min(100, value)));
  const days = Math.min(LONGEST_FORECAST_DAYS, Math.max(horizonDays, (toLimit.days ?? 0) + 28));
  const { weeks } = fit.prepared;
  const range = yearlyRange(fit.term, fit.levelDay);
  const width = bandWidth(fit);
  const point = (day: number, value: number) => ({ at: instantOf(day), pct: shown(value) });
  return {
    type: "drift",
    quantity: fit.quantity,
    limitPct: shown(fit.limit),
    points: Array.from(weeks.day, (day, row) => point(day, weeks.value[row] ?? 0)),
    lines: linesOf(fit).map((line) => line.map(({ day, value }) => point(day, value))),
    forecast: Array.from({ length: Math.floor(days / WEEK_DAYS) + 1 }, (_, week) => {
      const { at, value, sd } = project(fit, { asOf, days: week * WEEK_DAYS });
      const ends = [shown(value - width * sd), shown(value + width * sd)];
      return { at, pct: shown(value), low: Math.min(...ends), high: Math.max(...ends) };
    }),
    thermalSwingPct:
      range.high === range.low ? null : Math.abs(shown(fit.level + range.high) - shown(fit.level + range.low)),
  };
}

function linesOf(fit: DriftFit): { day: number; value: number }[][] {
  const { weeks, starts } = fit.prepared;
  const away = awayOfFit(fit);
  const moved = weeks.day.map((day, row) => thermalOf(fit.term, { day, awayC: away[row] ?? 0 }) + fit.slope * day);
  return starts.map((from, index) => {
    const to = starts[index + 1] ?? weeks.day.length;
    const level = medianInPlace(weeks.value.slice(from, to).map((value, row) => value - (moved[from + row] ?? 0))) ?? 0;
    return Array.from(weeks.day.subarray(from, to), (day, row) => ({ day, value: level + (moved[from + row] ?? 0) }));
  });
}
