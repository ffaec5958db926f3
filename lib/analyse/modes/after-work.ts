import type { Cause } from "@/lib/analyse/modes/cause";
import { DAY_MS } from "@/lib/kernel/units";
import type { Task } from "@/lib/records/vocabulary";
import type { Work } from "@/lib/records/work";

/** What a task takes off a cause, and in how many days most of that is lost again. */
type Relief = { readonly share: number; readonly days: number };

const FOR_GOOD = 3650;
const whole: Relief = { share: 0.85, days: FOR_GOOD };
const measures: Relief = { share: 0.7, days: FOR_GOOD };

/** Source: common practice; a task that is not named leaves a cause as it was. */
const relief: Readonly<Record<Cause, Partial<Readonly<Record<Task, Relief>>>>> = {
  soiling: { clean: { share: 0.8, days: 270 }, replace: { share: 0.8, days: 365 } },
  "compensation at its limit": { clean: { share: 0.85, days: 365 }, replace: { share: 0.85, days: 365 } },
  "thermal movement": { realign: { share: 0.7, days: 365 }, survey: { share: 0.3, days: FOR_GOOD } },
  "mount that will not hold": { realign: { share: 0.6, days: 60 }, survey: measures, repair: measures },
  "knocked out of line": { realign: whole },
  ageing: { replace: whole },
  "low sun": { survey: measures },
  "cold or steam mornings": { survey: measures },
  insects: { clean: { share: 0.6, days: 180 } },
  "seasonal stock": { survey: measures },
  "blocked path": { survey: measures },
  equipment: { repair: { share: 0.7, days: FOR_GOOD }, replace: whole },
  unknown: {},
};

/**
 * What is left of a cause at a moment after the work done before it: 1 where nothing met it, else above 0.
 *
 * A cause whose events stop after its own task is thereby made likelier than one whose task came and changed nothing.
 */
export function leftAfterWork(cause: Cause, work: readonly Work[]): (at: number) => number {
  const met = work.flatMap(({ task, doneAt }) => {
    const one = relief[cause][task];
    return one ? [{ doneAt, ...one }] : [];
  });
  if (met.length === 0) return () => 1;
  return (at) => {
    let left = 1;
    for (const { doneAt, share, days } of met) {
      if (doneAt >= at) break;
      left = Math.min(left, 1 - share * Math.exp(-(at - doneAt) / DAY_MS / days));
    }
    return left;
  };
}
