import type { PreventiveTask } from "@/lib/rank/effects";
import { type CausedEvent, sharesOf } from "@/lib/rank/visit-effects/cause-record";
import type { Expected } from "@/lib/rank/visit-effects/without-visit";

/** A past visit for a task with what followed of one cause. */
export type JudgedVisit = {
  readonly task: PreventiveTask;
  /** Place of the cause. */
  readonly place: number;
  readonly seen: readonly CausedEvent[];
  readonly expected: Expected;
};

/** What the expectations of a visit are multiplied by, and the relative variance of that factor. */
export type ControlRatio = { readonly ratio: number; readonly relativeVariance: number };

const PRIOR_EVENTS = 4;

/**
 * Observed over expected after visits that cannot have touched the cause, among detectors of the same class of record.
 *
 * Whoever calls for visits sees more than the records: a detector visited in its deterioration goes on worse than the
 * unvisited one of equal record. Visits that missed the cause were called for in the same way and changed nothing, so
 * what followed them tells what would have followed. The visit's own task is left out, so that no task is its own
 * control; each class is held to its cause's ratio, and that to 1, by four events each.
 *
 * @param missed - visits whose task does not touch the cause
 * @param prevented - the share such a task is stated to prevent all the same
 */
export function controlRatios(
  missed: readonly JudgedVisit[],
  prevented: number,
): (visit: Pick<JudgedVisit, "task" | "place" | "expected">) => ControlRatio {
  const known = new Map<string, Sums>();
  for (const { task, place, seen, expected } of missed) {
    for (const recordClass of [expected.recordClass, ANY]) {
      const key = keyOf({ task, place, recordClass });
      const sums = known.get(key) ?? { observed: 0, expected: 0, noise: 0 };
      sums.observed += sharesOf(seen, place);
      sums.expected += expected.mean * (1 - prevented);
      sums.noise += expected.mean * (1 - prevented) * expected.dispersion;
      known.set(key, sums);
    }
  }
  const tasks = [...new Set(missed.map(({ task }) => task))];
  return ({ task, place, expected }) => {
    const others = tasks.filter((one) => one !== task);
    const sumOver = (recordClass: number) =>
      others.reduce<Sums>(
        (total, other) => {
          const { observed, expected: mean, noise } = known.get(keyOf({ task: other, place, recordClass })) ?? nothing;
          return { observed: total.observed + observed, expected: total.expected + mean, noise: total.noise + noise };
        },
        { ...nothing },
      );
    const all = sumOver(ANY);
    if (!(all.expected > 0)) return { ratio: 1, relativeVariance: 0 };
    const own = sumOver(expected.recordClass);
    const ofCause = (all.observed + PRIOR_EVENTS) / (all.expected + PRIOR_EVENTS);
    const ratio = (own.observed + PRIOR_EVENTS * ofCause) / (own.expected + PRIOR_EVENTS);
    const dispersion = Math.max(1, all.noise / all.expected);
    return { ratio, relativeVariance: dispersion / (own.observed + PRIOR_EVENTS) };
  };
}

const ANY = -1;
type Sums = { observed: number; expected: number; noise: number };
const nothing: Sums = { observed: 0, expected: 0, noise: 0 };

function keyOf({ task, place, recordClass }: { task: PreventiveTask; place: number; recordClass: number }): string {
  return `${task} ${place} ${recordClass}`;
}
