import { fitFleet } from "@/lib/analyse/drift/model";
import { signalHistoryAt } from "@/lib/analyse/drift/past";
import { bandWidth, project } from "@/lib/analyse/drift/projection";
import { rowsBefore } from "@/lib/analyse/drift/recent-weeks";
import { resetTasks } from "@/lib/analyse/drift/resets";
import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** How often a level that came lay inside the 90 % band predicted for it. */
export type LevelCoverage = {
  readonly cases: number;
  readonly inside: number;
  /** Levels above the band, that is worse than it said. */
  readonly above: number;
  /** Share inside; null without a case. */
  readonly share: number | null;
  /** Median half width of the band, dB; null without a case. */
  readonly halfWidthDb: number | null;
};

const WEEK_DAYS = 7;
const LEAST_DAYS = 3;

/**
 * Fits every detector at moments of the past, with nothing that came later, and looks whether the level of the week
 * `horizonDays` ahead lay inside the 90 % band predicted then.
 *
 * Cases with work between the two that sets the level anew are left out; a knock that nobody recorded stays in.
 *
 * @param moments - Instants, each at least a horizon before the histories' own moment
 * Cost: that of `driftModels` for each moment.
 */
export function levelCoverage(
  histories: readonly DetectorHistory[],
  { moments, horizonDays = 90 }: { moments: readonly number[]; horizonDays?: number },
): LevelCoverage {
  const widths: number[] = [];
  let inside = 0;
  let above = 0;
  for (const at of moments) {
    const known = new Map(histories.map((history) => [history.detector.detectorId, history]));
    const past = histories.flatMap((history) => signalHistoryAt(history, at) ?? []);
    for (const { history, fits } of fitFleet(past)) {
      const fit = fits.find(({ quantity }) => quantity === "signal");
      const now = known.get(history.detector.detectorId);
      const level = fit && now ? levelOfWeek(now, { from: at, days: horizonDays }) : null;
      if (!fit || level === null) continue;
      const { value, sd } = project(fit, { asOf: at, days: horizonDays });
      const half = bandWidth(fit) * sd;
      widths.push(half);
      if (Math.abs(level - value) <= half) inside += 1;
      else if (level > value) above += 1;
    }
  }
  const cases = widths.length;
  const share = cases === 0 ? null : inside / cases;
  return { cases, inside, above, share, halfWidthDb: medianInPlace(Float64Array.from(widths)) };
}

// Median of the week around a moment ahead; null with too few readings or a reset in between.
function levelOfWeek({ signal, work }: DetectorHistory, { from, days }: { from: number; days: number }): number | null {
  const at = from + days * DAY_MS;
  const until = at + (WEEK_DAYS * DAY_MS) / 2;
  if (
    signal === null ||
    work.some(({ doneAt, task }) => doneAt >= from && doneAt < until && resetTasks.includes(task))
  ) {
    return null;
  }
  const first = rowsBefore(signal, until - WEEK_DAYS * DAY_MS);
  const last = rowsBefore(signal, until);
  return last - first < LEAST_DAYS ? null : medianInPlace(signal.attenuationDb.slice(first, last));
}
