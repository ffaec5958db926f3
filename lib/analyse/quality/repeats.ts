import { DAY_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";

/** A stretch in which one value was read again and again. */
export type RepeatRun = {
  readonly startAt: number;
  readonly endAt: number;
  readonly readings: number;
  readonly signalPct: number;
  /** Whether the temperature moved meanwhile; null where none was sent. */
  readonly temperatureMoved: boolean | null;
};

/** How often a detector repeats its value, and its longest repeats. */
export type RepeatTrace = {
  readonly pairs: number;
  /** Neighbouring readings with the same value. */
  readonly samePairs: number;
  /** Number of runs and readings in them by length: place k holds runs of 2^k up to 2^(k+1) - 1 readings. */
  readonly runsByLength: Float64Array;
  /** Runs of days, longest first; at most {@link MOST_RUNS}. */
  readonly long: readonly RepeatRun[];
};

const LEAST_READINGS = 12;
const LEAST_DAYS = 3;
/** How many long runs are kept of a detector. */
export const MOST_RUNS = 8;

/** The repeats of a series, oldest first. */
export function repeatsOf({ readAt, signalPct, temperatureC }: ReadingSeries): RepeatTrace {
  const runsByLength = new Float64Array(32);
  const long: RepeatRun[] = [];
  let samePairs = 0;
  for (let from = 0; from < readAt.length; ) {
    let to = from + 1;
    while (to < readAt.length && signalPct[to] === signalPct[from]) to += 1;
    const readings = to - from;
    samePairs += readings - 1;
    const place = 31 - Math.clz32(readings);
    runsByLength[place] = (runsByLength[place] ?? 0) + readings;
    const startAt = readAt[from] ?? 0;
    const endAt = readAt[to - 1] ?? 0;
    if (readings >= LEAST_READINGS && endAt - startAt >= LEAST_DAYS * DAY_MS) {
      long.push({
        startAt,
        endAt,
        readings,
        signalPct: signalPct[from] ?? 0,
        temperatureMoved: movedIn(temperatureC.subarray(from, to)),
      });
      if (long.length > 4 * MOST_RUNS) keepLongest(long);
    }
    from = to;
  }
  keepLongest(long);
  return { pairs: Math.max(0, readAt.length - 1), samePairs, runsByLength, long };
}

function keepLongest(runs: RepeatRun[]): void {
  runs.sort((a, b) => b.readings - a.readings || a.startAt - b.startAt);
  runs.length = Math.min(runs.length, MOST_RUNS);
}

function movedIn(temperatures: Float64Array): boolean | null {
  const first = temperatures.find((value) => !Number.isNaN(value));
  if (first === undefined) return null;
  return temperatures.some((value) => !Number.isNaN(value) && value !== first);
}
