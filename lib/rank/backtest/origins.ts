import { DAY_MS } from "@/lib/kernel/units";

const LEAST_RECORD_DAYS = 365;

/**
 * Origins of a backtest, oldest first: the last `months` starts of a month (UTC midnight) that have a year of records
 * before them and a whole horizon, known until `knownUntil`, after them. Empty when records are too short.
 *
 * @throws RangeError for a number of months that is not whole and above 0
 */
export function backtestOrigins({
  firstRecordAt,
  knownUntil,
  months,
  horizonDays,
}: {
  firstRecordAt: number;
  knownUntil: number;
  months: number;
  horizonDays: number;
}): number[] {
  if (!(Number.isInteger(months) && months > 0)) throw new RangeError(`months must be whole and above 0: ${months}`);
  const last = new Date(knownUntil - horizonDays * DAY_MS);
  const origins: number[] = [];
  for (let back = 0; origins.length < months; back += 1) {
    const at = Date.UTC(last.getUTCFullYear(), last.getUTCMonth() - back, 1);
    if (at < firstRecordAt + LEAST_RECORD_DAYS * DAY_MS) break;
    origins.push(at);
  }
  return origins.reverse();
}
