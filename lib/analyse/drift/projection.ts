import { columnsAt, type DriftFit } from "@/lib/analyse/drift/fit";
import { usualAt } from "@/lib/analyse/drift/thermal";
import { DAY_MS } from "@/lib/kernel/units";
import { studentQuantile, studentUpper } from "@/lib/statistics/distributions";

/** Value to be expected at a moment to come with the spread of one week's value and of the level; worst hour apart. */
export type Projected = {
  readonly at: number;
  readonly value: number;
  readonly sd: number;
  readonly levelSd: number;
  /** What the worst hour of a usual day adds. */
  readonly worst: number;
};

/** Days from the as-of moment until the limit, and the ends of a 90 % interval; null where it is not reached. */
export type DaysToLimit = {
  readonly days: number | null;
  readonly earliest: number | null;
  readonly latest: number | null;
  /** How far ahead was looked: no further than the record reaches back. */
  readonly lookedDays: number;
};

const WEEK_DAYS = 7;
const YEAR_DAYS = 365;
const MOST_DAYS = 1095;
const LEAST_DAYS = 182;

/** The line carried on to `days` after `asOf`, with the usual thermal year. */
export function project(fit: DriftFit, { asOf, days }: { asOf: number; days: number }): Projected {
  const at = asOf + days * DAY_MS;
  const day = at / DAY_MS;
  const ahead = day - fit.levelDay;
  const { covariance, lastColumns, levelVariance } = fit.filtered;
  const usual = usualAt(fit.term, day);
  const columns = columnsAt(fit, { day, awayC: usual.awayC });
  let variance = levelVariance + fit.walkPerDay * Math.max(0, ahead);
  for (let i = 0; i < columns.length; i += 1) {
    const apart = (columns[i] ?? 0) - (lastColumns[i] ?? 0);
    const row = covariance[i];
    for (let j = 0; j < columns.length; j += 1) {
      variance += apart * ((columns[j] ?? 0) - (lastColumns[j] ?? 0)) * (row?.[j] ?? 0);
    }
  }
  const weather = usual.steepness * (fit.term.climate?.spreadC ?? 0);
  return {
    at,
    value: fit.level + fit.slope * ahead + usual.value,
    sd: Math.sqrt(variance + fit.sd ** 2 + weather ** 2),
    levelSd: Math.sqrt(variance),
    worst: usual.worst,
  };
}

/** Width of the 90 % band in standard deviations. */
export function bandWidth({ df }: DriftFit): number {
  return studentQuantile(0.95, Math.max(3, df));
}

/** The weeks to come, as far as the record reaches back: between half a year and three years. */
export function outlookOf(fit: DriftFit, asOf: number): Projected[] {
  const lookedDays = lookedDaysOf(fit);
  const weeks: Projected[] = [];
  for (let days = 0; days <= lookedDays; days += WEEK_DAYS) weeks.push(project(fit, { asOf, days }));
  return weeks;
}

function lookedDaysOf({ weeks }: DriftFit): number {
  return Math.min(MOST_DAYS, Math.max(LEAST_DAYS, weeks * WEEK_DAYS));
}

/** When the line, and the ends of its 90 % band, first reach the limit, week by week. */
export function daysToLimit(fit: DriftFit, outlook: readonly Projected[]): DaysToLimit {
  const width = bandWidth(fit);
  const first = (reaches: (week: Projected) => boolean) => {
    const index = outlook.findIndex(reaches);
    return index < 0 ? null : index * WEEK_DAYS;
  };
  return {
    days: first(({ value, worst }) => value + worst >= fit.limit),
    earliest: first(({ value, worst, sd }) => value + worst + width * sd >= fit.limit),
    latest: first(({ value, worst, sd }) => value + worst - width * sd >= fit.limit),
    lookedDays: lookedDaysOf(fit),
  };
}

/** Chance that a week's value reaches the limit within a horizon; 0 to 1. */
export function chanceOfLimit(
  fit: DriftFit,
  { outlook, horizonDays }: { outlook: readonly Projected[]; horizonDays: number },
): number {
  const weeks = outlook.slice(0, Math.floor(horizonDays / WEEK_DAYS) + 1);
  const closest = Math.min(...weeks.map(({ value, worst, sd }) => (fit.limit - value - worst) / sd));
  return studentUpper(closest, fit.df);
}

/**
 * One-sided chance of such a level, heat and drift if the limit were not reached on any usual day of the year ahead:
 * of the week that comes closest, without the noise of a single week.
 */
export function chanceOfNoLimit(fit: DriftFit, outlook: readonly Projected[]): number {
  const year = outlook.slice(0, Math.floor(YEAR_DAYS / WEEK_DAYS) + 1);
  const closest = Math.max(
    ...year.map(({ value, worst, levelSd }) => (value + worst - fit.limit) / Math.max(levelSd, 1e-9)),
  );
  return studentUpper(closest, Math.max(3, fit.df));
}
