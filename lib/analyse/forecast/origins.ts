import type { DetectorHistory } from "@/lib/analyse/history";
import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { Work } from "@/lib/records/work";

const MOST_ORIGINS = 8;
const LEAST_ORIGINS = 5;
/** Rows beyond which more of the past teaches little and only costs time. */
const ENOUGH_ROWS = 6000;
const LEAST_HISTORY_DAYS = 180;
const SHORTEST_DAYS = 30;
const LONGEST_DAYS = 180;
const CALL_OUT_DAYS = 14;
const CHANGING_TASKS = ["clean", "realign", "survey", "repair", "replace"];

/** Moments of the past from which a forecast can be learned and tried, oldest first, and how far each looks ahead. */
export type Origins = { readonly at: readonly number[]; readonly days: number };

/**
 * Up to eight moments (five in a large fleet), one horizon apart, back from the as-of moment; none where the records do
 * not reach back far enough. The horizon is kept within 30 and 180 days, so that a long one still leaves something to learn from.
 */
export function originsOf(
  histories: readonly DetectorHistory[],
  { asOf, horizonDays }: { asOf: number; horizonDays: number },
): Origins {
  const days = Math.max(SHORTEST_DAYS, Math.min(LONGEST_DAYS, horizonDays));
  let firstAt = asOf;
  for (const { exposure } of histories) firstAt = Math.min(firstAt, exposure.inService[0]?.startAt ?? asOf);
  const at: number[] = [];
  const most = Math.max(LEAST_ORIGINS, Math.min(MOST_ORIGINS, Math.ceil(ENOUGH_ROWS / Math.max(1, histories.length))));
  for (let back = most; back >= 1; back -= 1) {
    const origin = asOf - back * days * DAY_MS;
    if (origin - firstAt >= LEAST_HISTORY_DAYS * DAY_MS) at.push(origin);
  }
  return { at, days };
}

/**
 * The time after an origin without a preventive visit: up to the first planned task that may change a rate.
 *
 * Call-outs after a fault or false alarm are part of the world without a visit and end nothing. Work that does not say
 * which it was counts as a call-out within 14 days after an event of the detector, as planned otherwise.
 */
export function unvisitedSpan(
  { work, faults, ownAlarms }: DetectorHistory,
  { origin, days }: { origin: number; days: number },
): Span {
  const endAt = origin + days * DAY_MS;
  const planned = work.find(
    (one) =>
      one.doneAt >= origin &&
      one.doneAt < endAt &&
      CHANGING_TASKS.includes(one.task) &&
      isPlanned(one, { faults, ownAlarms }),
  );
  return { startAt: origin, endAt: planned?.doneAt ?? endAt };
}

function isPlanned(
  { reactive, doneAt }: Work,
  { faults, ownAlarms }: Pick<DetectorHistory, "faults" | "ownAlarms">,
): boolean {
  if (reactive !== null) return !reactive;
  const follows = ({ beganAt }: { beganAt: number }) => beganAt <= doneAt && beganAt > doneAt - CALL_OUT_DAYS * DAY_MS;
  return !faults.some(follows) && !ownAlarms.some(follows);
}
