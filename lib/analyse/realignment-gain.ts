import type { DetectorHistory } from "@/lib/analyse/history";
import { countBelow } from "@/lib/kernel/sorted";
import { DAY_MS } from "@/lib/kernel/units";
import type { Work } from "@/lib/records/work";
import { medianOfSorted } from "@/lib/statistics/descriptive";

/** What a realignment got back of the signal, in dB, and the least gain that is no play of the readings. */
export type RealignmentGain = {
  readonly gainDb: number;
  readonly leastDb: number;
  readonly from: "work record" | "readings";
};

// A fiftieth of the signal: less is within what two measurements of the same beam differ by. Common practice.
const LEAST_GAIN_DB = 0.1;
const NOISE_TIMES = 2;
const WITHIN_DAYS = 7;
const MOST_DAYS = 5;
const LEAST_DAYS = 2;

/**
 * The signal that a realignment got back: as found and as left by its own record, else by the readings of the days
 * before and after. Null where neither tells, or where other work of the same days could have done it.
 */
export function realignmentGain(work: Work, history: Pick<DetectorHistory, "signal" | "work">): RealignmentGain | null {
  const { signalBeforePct: before, signalAfterPct: after } = work;
  if (before !== null && after !== null && after > 0) {
    const found = Math.max(before, 0.1);
    return { gainDb: 10 * Math.log10(after / found), leastDb: LEAST_GAIN_DB, from: "work record" };
  }
  const { signal } = history;
  const helped = history.work.some((other) => {
    const near = Math.abs(other.doneAt - work.doneAt) <= WITHIN_DAYS * DAY_MS;
    return near && other !== work && (changes.has(other.task) || other.task === "realign");
  });
  if (signal === null || helped) return null;
  const day = Math.floor(work.doneAt / DAY_MS);
  const earlier = daysIn(signal, { from: day - WITHIN_DAYS, until: day }).slice(-MOST_DAYS);
  const later = daysIn(signal, { from: day + 1, until: day + 1 + WITHIN_DAYS }).slice(0, MOST_DAYS);
  if (earlier.length < LEAST_DAYS || later.length < LEAST_DAYS) return null;
  const noise = Math.max(spreadOf(earlier), spreadOf(later));
  return {
    gainDb: middleOf(earlier) - middleOf(later),
    leastDb: Math.max(LEAST_GAIN_DB, NOISE_TIMES * noise),
    from: "readings",
  };
}

const changes: ReadonlySet<Work["task"]> = new Set(["clean", "repair", "replace"]);

type Days = NonNullable<DetectorHistory["signal"]>;

function daysIn({ day, attenuationDb }: Days, { from, until }: { from: number; until: number }): number[] {
  const values: number[] = [];
  for (let row = countBelow(day, from); row < day.length && (day[row] ?? Infinity) < until; row += 1) {
    values.push(attenuationDb[row] ?? 0);
  }
  return values;
}

function middleOf(values: readonly number[]): number {
  return medianOfSorted([...values].sort((a, b) => a - b)) ?? 0;
}

// Median step from one day to the next: a slow drift is no noise.
function spreadOf(values: readonly number[]): number {
  return middleOf(values.slice(1).map((value, index) => Math.abs(value - (values[index] ?? value))));
}
