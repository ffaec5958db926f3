import type { DriftFit } from "@/lib/analyse/drift/fit";
import { fitFleet } from "@/lib/analyse/drift/model";
import { signalHistoryAt } from "@/lib/analyse/drift/past";
import { daysToLimit, outlookOf } from "@/lib/analyse/drift/projection";
import { rowsBefore } from "@/lib/analyse/drift/recent-weeks";
import { resetTasks } from "@/lib/analyse/drift/resets";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { DAY_MS } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** How often a limit was truly reached inside the 90 % interval of its date. */
export type LimitCoverage = {
  /** Limits predicted inside what was looked ahead, and how many of them were reached before their interval began. */
  readonly predicted: number;
  readonly earlyOfAll: number;
  /** Those left alone until after the end of their interval: reached inside it, before it, or not by its end. */
  readonly judged: number;
  readonly inside: number;
  readonly early: number;
  readonly late: number;
  /** Share inside of those judged; null without one. */
  readonly share: number | null;
  /** Limits reached within a horizon although no end of the interval lay inside what was looked ahead. */
  readonly unforeseen: number;
};

const WEEK_DAYS = 7;
const LEAST_DAYS = 3;
const LEAST_SIGNAL_PCT = 0.1;

/**
 * Fits every detector at moments of the past, with nothing that came later, and looks when the worst hour of a usual day
 * of a week first reached the limit. The look ends at the next work that sets the level anew and with the readings.
 * Only what was left alone beyond its interval is judged: those reached soon would else count and those to come not.
 *
 * @param moments - Instants before the histories' own moment
 * Cost: that of `driftModels` for each moment.
 */
export function limitCoverage(histories: readonly DetectorHistory[], moments: readonly number[]): LimitCoverage {
  const count = { predicted: 0, earlyOfAll: 0, inside: 0, early: 0, late: 0, unforeseen: 0 };
  for (const at of moments) {
    const known = new Map(histories.map((history) => [history.detector.detectorId, history]));
    const past = histories.flatMap((history) => signalHistoryAt(history, at) ?? []);
    for (const { history, fits } of fitFleet(past)) {
      const now = known.get(history.detector.detectorId);
      for (const fit of fits) {
        const { days, earliest, latest, lookedDays } = daysToLimit(fit, outlookOf(fit, at));
        if (!now || days === 0 || earliest === 0) continue;
        const { reached, aloneDays } = courseOf(now, { fit, at, lookedDays });
        if (earliest === null && reached !== null) count.unforeseen += 1;
        if (days === null || earliest === null) continue;
        count.predicted += 1;
        // The interval is told in whole weeks.
        const early = reached !== null && reached < earliest - WEEK_DAYS;
        if (early) count.earlyOfAll += 1;
        const over = (latest ?? Infinity) + WEEK_DAYS;
        if (aloneDays <= over) continue;
        count[early ? "early" : reached !== null && reached <= over ? "inside" : "late"] += 1;
      }
    }
  }
  const judged = count.inside + count.early + count.late;
  return { ...count, judged, share: judged === 0 ? null : count.inside / judged };
}

type Course = { readonly reached: number | null; readonly aloneDays: number };

// Days until the first week at the limit, and how long the level was left alone.
function courseOf(
  { signal, work }: DetectorHistory,
  { fit, at, lookedDays }: { fit: DriftFit; at: number; lookedDays: number },
): Course {
  if (signal === null) return { reached: null, aloneDays: 0 };
  const next = work.filter(({ doneAt, task }) => doneAt >= at && resetTasks.includes(task)).map(({ doneAt }) => doneAt);
  const end = Math.min(...next, at + (lookedDays + 2 * WEEK_DAYS) * DAY_MS, signal.latestReadAt);
  const deepest = deepestOf(signal, fit);
  const aloneDays = (end - at) / DAY_MS;
  for (let days = WEEK_DAYS; at + days * DAY_MS <= end; days += WEEK_DAYS) {
    const from = rowsBefore(signal, at + (days - WEEK_DAYS) * DAY_MS);
    const to = rowsBefore(signal, at + days * DAY_MS);
    if (to - from < LEAST_DAYS) continue;
    const middle = medianInPlace(Float64Array.from({ length: to - from }, (_, row) => deepest(from + row))) ?? 0;
    if (middle >= fit.limit) return { reached: days, aloneDays };
  }
  return { reached: null, aloneDays };
}

function deepestOf({ compensationPct, lowestSignalPct }: SignalSummary, { quantity }: DriftFit) {
  return (row: number) =>
    quantity === "compensation"
      ? (compensationPct[row] ?? 0)
      : -10 * Math.log10(Math.max(LEAST_SIGNAL_PCT, lowestSignalPct[row] ?? 0) / 100);
}
