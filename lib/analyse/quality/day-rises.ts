import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { medianOfRange } from "@/lib/statistics/order-statistics";

/** A rise of the signal from one day to the next that stays; attenuations in dB, days since 1970 (UTC). */
export type DayRise = {
  readonly day: number;
  readonly beforeDb: number;
  readonly afterDb: number;
  /** First day of the low stretch that it ended. */
  readonly lowSince: number;
  /** Level before that stretch; null where the record begins inside it. */
  readonly earlierDb: number | null;
};

const SIDE_DAYS = 3;
const STAYS_DAYS = 14;
const EARLIER_DAYS = 14;
const LEAST_DB = 0.5;
const USUAL_TIMES = 3;
const USUAL_SHARE = 0.95;
const IN_ONE_DAY = 0.6;
const STAYS_SHARE = 0.6;
const MOST_APART_DAYS = 21;

/**
 * Rises between the medians of three days on either side by at least 0.5 dB and three times what 95 % of the detector's own
 * such changes stay below (so that one that moves with the weather is judged by its weather), most of it from one day
 * to the next, of which most still stands over the two weeks after; oldest first.
 */
export function dayRises({ day, attenuationDb }: SignalSummary): DayRise[] {
  const least = Math.max(LEAST_DB, USUAL_TIMES * usualChange(attenuationDb));
  const rises: DayRise[] = [];
  for (let row = SIDE_DAYS; row + SIDE_DAYS <= day.length; row += 1) {
    const once = (attenuationDb[row - 1] ?? 0) - (attenuationDb[row] ?? 0);
    if (once < IN_ONE_DAY * least) continue;
    if ((day[row + SIDE_DAYS - 1] ?? 0) - (day[row - SIDE_DAYS] ?? 0) > MOST_APART_DAYS) continue;
    const beforeDb = medianOfRange(attenuationDb, row - SIDE_DAYS, row) ?? 0;
    const rise = beforeDb - (medianOfRange(attenuationDb, row, row + SIDE_DAYS) ?? 0);
    if (rise < least || once < IN_ONE_DAY * rise) continue;
    const afterDb = medianOfRange(attenuationDb, row, Math.min(day.length, row + STAYS_DAYS)) ?? 0;
    if (beforeDb - afterDb < STAYS_SHARE * rise) continue;
    rises.push({
      day: day[row] ?? 0,
      beforeDb,
      afterDb,
      ...lowStretch({ day, attenuationDb, row, beforeDb, afterDb }),
    });
  }
  return rises;
}

function lowStretch({
  day,
  attenuationDb,
  row,
  beforeDb,
  afterDb,
}: Pick<SignalSummary, "day" | "attenuationDb"> & { row: number; beforeDb: number; afterDb: number }) {
  const half = (beforeDb + afterDb) / 2;
  let from = row;
  while (from > 0 && (attenuationDb[from - 1] ?? 0) > half) from -= 1;
  const earlier = Math.max(0, from - EARLIER_DAYS);
  return {
    lowSince: day[from] ?? 0,
    earlierDb: from - earlier >= SIDE_DAYS ? medianOfRange(attenuationDb, earlier, from) : null,
  };
}

function usualChange(attenuationDb: Float64Array): number {
  const changes: number[] = [];
  for (let row = SIDE_DAYS; row + SIDE_DAYS <= attenuationDb.length; row += 1) {
    const before = medianOfRange(attenuationDb, row - SIDE_DAYS, row) ?? 0;
    changes.push(Math.abs(before - (medianOfRange(attenuationDb, row, row + SIDE_DAYS) ?? 0)));
  }
  const sorted = Float64Array.from(changes).sort();
  return sorted[Math.floor(USUAL_SHARE * sorted.length)] ?? 0;
}
