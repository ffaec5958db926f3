import type { DetectorHistory } from "@/lib/analyse/history";
import { startOfDay } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import type { CaptureMethod } from "@/lib/rank/backtest/backtest-result";
import type { RankedDetector } from "@/lib/rank/result";

/** Methods that give each detector a score from what was known; random and perfect knowledge need none. */
export type ScoringMethod = Exclude<CaptureMethod, "random" | "perfect">;

const RECENT_DAYS = 90;

/**
 * Scores of one detector by each method, the highest chosen first; all from what was known at the as-of moment.
 *
 * A detector without a reading comes last by signal; service is the latest work of any task, else the service noted
 * with the detector, else its installation.
 */
export function methodScores(ranked: RankedDetector, history: DetectorHistory): Record<ScoringMethod, number> {
  const { record, visit, expectedCost } = ranked;
  const recentFrom = history.asOf - RECENT_DAYS * DAY_MS;
  const recent = [...record.faultEpisodes, ...record.alarmEpisodes].filter((at) => at >= recentFrom);
  return {
    avoided_cost: visit.avoidedCost.mean,
    expected_cost: expectedCost.mean,
    faults_12m: record.faultEpisodes.length,
    events_90d: recent.length,
    lowest_signal: record.latestSignalPct === null ? -Infinity : -record.latestSignalPct,
    longest_since_service: history.asOf - lastServiceAt(history),
  };
}

function lastServiceAt({ work, detector, site, installedAt }: DetectorHistory): number {
  const noted = detector.lastServiceOn === null ? installedAt : startOfDay(detector.lastServiceOn, site.timeZone);
  return Math.max(installedAt, noted, work.at(-1)?.doneAt ?? installedAt);
}
