import { type SignalSummary, summariseSignal } from "@/lib/analyse/signal-summary";
import { countBelow } from "@/lib/kernel/sorted";
import { DAY_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";
import { medianOfSorted } from "@/lib/statistics/descriptive";

/** One detector's readings, summarised once, with what a cut at each of some moments needs besides the days. */
export type CuttableSignal = {
  readonly whole: SignalSummary;
  /** By moment; absent where no reading lies before it. */
  readonly ends: ReadonlyMap<number, Pick<SignalSummary, "latestReadAt" | "latestSignalPct" | "usualIntervalMs">>;
};

/**
 * Summarises readings up to `until` so that they can be cut at each of `origins` without reading them again; null
 * when there are none.
 *
 * @param series - oldest reading first, as the store gives it
 * @param origins - moments at UTC midnight, at or before `until`
 * @throws RangeError for an origin that is not a midnight, since days cannot be cut within, or for a series out of order
 */
export function cuttableSignal(
  series: ReadingSeries,
  { origins, until, silentAfterHours }: { origins: readonly number[]; until: number; silentAfterHours: number },
): CuttableSignal | null {
  const whole = summariseSignal(series, { asOf: until, silentAfterHours });
  if (whole === null) return null;
  const { readAt, signalPct } = series;
  const gaps = Float64Array.from({ length: Math.max(0, readAt.length - 1) }, (_, index) => gapAfter(readAt, index));
  const ends = new Map<number, ReturnType<CuttableSignal["ends"]["get"]> & object>();
  for (const origin of origins) {
    if (origin % DAY_MS !== 0) throw new RangeError(`origin is not at UTC midnight: ${origin}`);
    const count = countBelow(readAt, origin);
    if (count === 0) continue;
    ends.set(origin, {
      latestReadAt: readAt[count - 1] ?? 0,
      latestSignalPct: signalPct[count - 1] ?? 0,
      usualIntervalMs: medianOfSorted(gaps.slice(0, count - 1).sort()),
    });
  }
  return { whole, ends };
}

/**
 * The summary of the readings before one of the origins, the same as summarising the cut series; null when none lies
 * before it. The columns are views, not copies.
 */
export function signalBefore({ whole, ends }: CuttableSignal, origin: number): SignalSummary | null {
  const end = ends.get(origin);
  if (!end) return null;
  const days = countBelow(whole.day, origin / DAY_MS);
  const known = whole.presence.filter(({ startAt }) => startAt < origin);
  return {
    day: whole.day.subarray(0, days),
    attenuationDb: whole.attenuationDb.subarray(0, days),
    lowestSignalPct: whole.lowestSignalPct.subarray(0, days),
    highestSignalPct: whole.highestSignalPct.subarray(0, days),
    compensationPct: whole.compensationPct.subarray(0, days),
    temperatureC: whole.temperatureC.subarray(0, days),
    lowestTemperatureC: whole.lowestTemperatureC.subarray(0, days),
    ...end,
    presence: known.map((span, index) => (index === known.length - 1 ? { ...span, endAt: end.latestReadAt } : span)),
  };
}

function gapAfter(readAt: Float64Array, index: number): number {
  const gap = (readAt[index + 1] ?? 0) - (readAt[index] ?? 0);
  if (gap < 0) throw new RangeError(`readings are out of order at place ${index}`);
  return gap;
}
