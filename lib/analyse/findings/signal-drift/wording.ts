import type { DriftFit } from "@/lib/analyse/drift/fit";
import type { FittedDrift } from "@/lib/analyse/drift/model";
import { dayInWords, inWords } from "@/lib/analyse/wording";
import { DAY_MS, signalPctOf } from "@/lib/kernel/units";

/** The question the kind answers. */
export const question = "Will its signal or compensation reach its limit, and when?";
/** What its effect is measured in. */
export const effectUnit = "days until the limit";

const DAYS_A_MONTH = 30.4375;

/** Change of the shown quantity in a month, in percentage points: signal falls, compensation rises. */
export function monthlyChange({ quantity, slope, level }: DriftFit): number {
  if (quantity === "compensation") return slope * DAYS_A_MONTH;
  return signalPctOf(level + slope * DAYS_A_MONTH) - signalPctOf(level);
}

/** One sentence on the drift, or on the heat where that moves more, and the date of the limit. */
export function sentence(
  { leading, toLimit, swingDb }: FittedDrift,
  { asOf, zone }: { asOf: number; zone: string },
): string {
  const day = (days: number) => dayInWords(asOf + days * DAY_MS, zone);
  const move = moveInWords(leading, swingDb);
  if (toLimit.days === 0) return `${move} and stands at its limit now.`;
  if (toLimit.days === null) {
    const early = toLimit.earliest === null ? "" : `, at the earliest ${day(toLimit.earliest)}`;
    return `${move}; the limit is not reached within ${toLimit.lookedDays} days${early} (90 % interval).`;
  }
  const latest = toLimit.latest === null ? "an unknown day" : day(toLimit.latest);
  return `${move} and reaches its limit about ${day(toLimit.days)} (90 % interval ${day(toLimit.earliest ?? 0)} to ${latest}).`;
}

function moveInWords(fit: DriftFit, swingDb: number): string {
  const change = `${inWords(Math.abs(monthlyChange(fit)))} points a month`;
  if (fit.quantity === "compensation")
    return `Compensation is ${fit.slope > 0 ? "used up" : "given back"} by ${change}`;
  const year = Math.abs(fit.slope) * 365.25;
  if (swingDb > 2 * year) return `The signal swings by ${inWords(swingDb)} dB with day and year, ${wayOf(fit, change)}`;
  return `The signal ${fit.slope > 0 ? "falls" : "rises"} by ${change}`;
}

function wayOf({ slope, slopeSe }: DriftFit, change: string): string {
  if (Math.abs(slope) < 2 * slopeSe) return "without a sure trend";
  return `${slope > 0 ? "falling" : "rising"} by ${change}`;
}
