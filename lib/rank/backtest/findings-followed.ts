import type { FindingFollowed, FollowedCount, JudgedKind } from "@/lib/rank/backtest/backtest-result";
import type { JudgedDetector, JudgedOrigin } from "@/lib/rank/backtest/judge-origin";

/** What followed at the detectors each kind of finding listed and at all others, summed over the origins. */
export function findingsFollowed(origins: readonly JudgedOrigin[]): FindingFollowed[] {
  const kinds = [...new Set(origins.flatMap((origin) => origin.kinds))];
  const detectors = origins.flatMap((origin) => origin.detectors);
  return kinds.map((kind) => {
    // One kind is about alarms; the others warn of faults.
    const counts: JudgedKind = kind === "seasonal_alarms" ? "alarms" : "faults";
    const isListed = ({ findings }: JudgedDetector) => findings.includes(kind);
    return {
      kind,
      counts,
      listed: countedOf(detectors.filter(isListed), counts),
      others: countedOf(
        detectors.filter((one) => !isListed(one)),
        counts,
      ),
    };
  });
}

function countedOf(detectors: readonly JudgedDetector[], kind: JudgedKind): FollowedCount {
  return {
    detectors: detectors.length,
    days: detectors.reduce((sum, { observedDays }) => sum + observedDays, 0),
    events: detectors.reduce((sum, { [kind]: count }) => sum + count.realised, 0),
  };
}
