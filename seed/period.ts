import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";

/** The stretch the fleet is simulated over: whole UTC days, four readings a day. */
export type Period = {
  readonly startAt: number;
  readonly endAt: number;
  readonly days: number;
  readonly steps: number;
};

/** Readings of one day. */
export const STEPS_PER_DAY = 4;
/** Nothing in the demo portfolio happens at or after this moment. */
export const END_AT = Date.UTC(2026, 5, 30);

/** The period of `days` whole days that ends at {@link END_AT}; 1,095 days begin on 2023-07-01. */
export function periodOf(days: number): Period {
  return { startAt: END_AT - days * DAY_MS, endAt: END_AT, days, steps: days * STEPS_PER_DAY };
}

/**
 * Moment of a reading step at a site that reads `minute` minutes past the hour.
 *
 * 03, 09, 15 and 21 h UTC: never inside an hour that Lisbon or Helsinki skips or shows twice.
 */
export function stepAt(period: Period, step: number, minute: number): number {
  return period.startAt + (step * 6 + 3) * HOUR_MS + minute * 60_000;
}
