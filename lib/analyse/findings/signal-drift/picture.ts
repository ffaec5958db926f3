import type { DriftFit } from "@/lib/analyse/drift/fit";
import { type DaysToLimit, project } from "@/lib/analyse/drift/projection";
import { thermalOf, yearlySwing } from "@/lib/analyse/drift/thermal";
import type { Segment } from "@/lib/analyse/drift/weeks";
import type { DriftPicture } from "@/lib/analyse/picture";
import { DAY_MS, signalPctOf } from "@/lib/kernel/units";
import { medianOf } from "@/lib/statistics/descriptive";

const WEEK_DAYS = 7;
const Z_90 = 1.6449;
const LONGEST_FORECAST_DAYS = 365;

/** Weekly medians with the line through each segment and the widening forecast. */
export function driftPicture(
  fit: DriftFit,
  { asOf, horizonDays, toLimit }: { asOf: number; horizonDays: number; toLimit: DaysToLimit },
): DriftPicture {
  const shown = (value: number) => (fit.quantity === "signal" ? signalPctOf(value) : Math.max(0, Math.min(100, value)));
  const days = Math.min(LONGEST_FORECAST_DAYS, Math.max(horizonDays, (toLimit.days ?? 0) + 28));
  const swing = yearlySwing(fit.term);
  return {
    type: "drift",
    quantity: fit.quantity,
    limitPct: shown(fit.limit),
    points: fit.segments.flat().map((week) => ({ at: week.at, pct: shown(week.value) })),
    lines: fit.segments.map((segment) => lineOf(segment, fit).map(({ at, value }) => ({ at, pct: shown(value) }))),
    forecast: Array.from({ length: Math.floor(days / WEEK_DAYS) + 1 }, (_, week) => {
      const { at, value, sd } = project(fit, { asOf, days: week * WEEK_DAYS });
      const ends = [shown(value - Z_90 * sd), shown(value + Z_90 * sd)];
      return { at, pct: shown(value), low: Math.min(...ends), high: Math.max(...ends) };
    }),
    thermalSwingPct: swing === 0 ? null : Math.abs(shown(fit.level + swing / 2) - shown(fit.level - swing / 2)),
  };
}

function lineOf(segment: Segment, { term, slope }: DriftFit): { at: number; value: number }[] {
  const level = medianOf(segment.map((week) => week.value - thermalOf(term, week) - (slope * week.at) / DAY_MS)) ?? 0;
  return segment.map((week) => ({ at: week.at, value: level + (slope * week.at) / DAY_MS + thermalOf(term, week) }));
}
