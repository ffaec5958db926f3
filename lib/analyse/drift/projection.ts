import type { DriftFit } from "@/lib/analyse/drift/fit";
import { at as thermalAt } from "@/lib/analyse/drift/thermal";
import { DAY_MS } from "@/lib/kernel/units";
import { normalUpper } from "@/lib/statistics/distributions";

/** Value to be expected and its spread at a moment to come, in the unit of the fit. */
export type Projected = { readonly at: number; readonly value: number; readonly sd: number };

/** Days from the as-of moment until the limit, and the ends of a 90 % interval; null where it is not reached. */
export type DaysToLimit = {
  readonly days: number | null;
  readonly earliest: number | null;
  readonly latest: number | null;
  /** How far ahead was looked: no further than the record reaches back. */
  readonly lookedDays: number;
};

const Z_90 = 1.6449;
const WEEK_DAYS = 7;

/** The line carried on to `days` after `asOf`, with thermal term; the spread is that of one week's value. */
export function project(fit: DriftFit, { asOf, days }: { asOf: number; days: number }): Projected {
  const at = asOf + days * DAY_MS;
  const ahead = (at - fit.levelAt) / DAY_MS;
  const value = fit.level + fit.slope * ahead + thermalAt(fit.term, at);
  return { at, value, sd: Math.hypot(fit.levelSe, fit.slopeSe * ahead, fit.sd) };
}

/** When the line, and the ends of its 90 % band, first reach the limit, looked up week by week. */
export function daysToLimit(fit: DriftFit, asOf: number): DaysToLimit {
  const lookedDays = Math.min(1095, Math.max(182, fit.weeks * WEEK_DAYS));
  let days: number | null = null;
  let earliest: number | null = null;
  let latest: number | null = null;
  for (let ahead = 0; ahead <= lookedDays; ahead += WEEK_DAYS) {
    const { value, sd } = project(fit, { asOf, days: ahead });
    if (earliest === null && value + Z_90 * sd >= fit.limit) earliest = ahead;
    if (days === null && value >= fit.limit) days = ahead;
    if (latest === null && value - Z_90 * sd >= fit.limit) latest = ahead;
    if (latest !== null) break;
  }
  return { days, earliest, latest, lookedDays };
}

/** Chance that the level reaches the limit within a horizon; 0 to 1. */
export function chanceOfLimit(fit: DriftFit, { asOf, horizonDays }: { asOf: number; horizonDays: number }): number {
  let chance = 0;
  for (let ahead = 0; ahead <= horizonDays; ahead += WEEK_DAYS) {
    const { value, sd } = project(fit, { asOf, days: ahead });
    chance = Math.max(chance, normalUpper((fit.limit - value) / sd));
  }
  return chance;
}
