import {
  type CaptureMethod,
  type CapturePoint,
  captureMethods,
  captureShares,
  type Held,
  type MethodCapture,
} from "@/lib/rank/backtest/backtest-result";
import { costHeld, countOfShare } from "@/lib/rank/backtest/capture";
import type { JudgedDetector } from "@/lib/rank/backtest/judge-origin";

/**
 * Share of the cost that followed which each method's first detectors held, at each of the capture shares; null where
 * no cost followed. Random holds its expectation, perfect knowledge takes the dearest detectors.
 */
export function heldBy(detectors: readonly JudgedDetector[]): Held {
  const total = costOf(detectors);
  return recordOf((method) =>
    captureShares.map((share) => (total > 0 ? heldAt(detectors, { method, share }) / total : null)),
  );
}

/** Share held over several months: cost held over cost, with the lowest and the highest month. */
export function captureOver(months: readonly (readonly JudgedDetector[])[]): MethodCapture[] {
  const total = months.reduce((sum, detectors) => sum + costOf(detectors), 0);
  const byMonth = months.map(heldBy);
  return captureMethods.map((method) => ({
    method,
    points: captureShares.map((share, place): CapturePoint => {
      const held = months.reduce((sum, detectors) => sum + heldAt(detectors, { method, share }), 0);
      const shares = byMonth.flatMap((one) => one[method][place] ?? []);
      return {
        share,
        held: total > 0 ? held / total : null,
        lowestMonth: shares.length > 0 ? Math.min(...shares) : null,
        highestMonth: shares.length > 0 ? Math.max(...shares) : null,
      };
    }),
  }));
}

/** Cost that followed at detectors, minor units. */
export function costOf(detectors: readonly JudgedDetector[]): number {
  return detectors.reduce((sum, { realisedCost }) => sum + realisedCost, 0);
}

function heldAt(
  detectors: readonly JudgedDetector[],
  { method, share }: { method: CaptureMethod; share: number },
): number {
  if (detectors.length === 0) return 0;
  const count = countOfShare(share, detectors.length);
  if (method === "random") return (count / detectors.length) * costOf(detectors);
  const scored = detectors.map(({ scores, realisedCost }) => ({
    score: method === "perfect" ? realisedCost : scores[method],
    cost: realisedCost,
  }));
  return costHeld(scored, count);
}

function recordOf(of: (method: CaptureMethod) => readonly (number | null)[]): Held {
  return {
    avoided_cost: of("avoided_cost"),
    expected_cost: of("expected_cost"),
    faults_12m: of("faults_12m"),
    events_90d: of("events_90d"),
    lowest_signal: of("lowest_signal"),
    longest_since_service: of("longest_since_service"),
    random: of("random"),
    perfect: of("perfect"),
  };
}
