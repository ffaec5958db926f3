import type { ReadingTrace } from "@/lib/analyse/quality/reading-trace";

/** The same readings standing twice, so many minutes apart. */
export type TwinReadings = {
  readonly minutes: number;
  readonly pairs: number;
  readonly firstAt: number;
  readonly lastAt: number;
};

const LEAST_PAIRS = 12;
const SAME_SHARE = 0.8;
const SAME_OTHERWISE = 0.4;

/**
 * Readings of a site closer together than their step that say the same in at least eight of ten cases (of twelve or
 * more), where no more than four of ten neighbouring readings do otherwise: the same file came twice, once shifted.
 */
export function twinReadings(traces: readonly ReadingTrace[]): TwinReadings[] {
  const byMinutes = new Map<number, { count: number; same: number; firstAt: number; lastAt: number }>();
  for (const { close } of traces) {
    for (const { minutes, count, same, firstAt, lastAt } of close) {
      const sum = byMinutes.get(minutes) ?? { count: 0, same: 0, firstAt: Infinity, lastAt: -Infinity };
      byMinutes.set(minutes, {
        count: sum.count + count,
        same: sum.same + same,
        firstAt: Math.min(sum.firstAt, firstAt),
        lastAt: Math.max(sum.lastAt, lastAt),
      });
    }
  }
  const pairs = traces.reduce((sum, { repeats }) => sum + repeats.pairs, 0);
  const same = traces.reduce((sum, { repeats }) => sum + repeats.samePairs, 0);
  return [...byMinutes]
    .filter(([minutes, twins]) => {
      if (minutes < 1 || twins.count < LEAST_PAIRS || twins.same < SAME_SHARE * twins.count) return false;
      const others = pairs - twins.count;
      return others > 0 && (same - twins.same) / others <= SAME_OTHERWISE;
    })
    .map(([minutes, { same: found, firstAt, lastAt }]) => ({ minutes, pairs: found, firstAt, lastAt }))
    .sort((a, b) => a.firstAt - b.firstAt || a.minutes - b.minutes);
}
