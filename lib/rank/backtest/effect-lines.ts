import type { EventKind } from "@/lib/analyse/modes/cause";
import type { EffectLine } from "@/lib/rank/backtest/backtest-result";
import type { EffectCell } from "@/lib/rank/learned-effects";

const words: Readonly<Record<EventKind, string>> = { fault: "faults", alarm: "unwanted alarms" };

/**
 * Learned effects as a table: for each task and cause of events with past visits what those showed, and the share
 * prevented that the ranking takes, with a 90 % interval. No past visits: no lines.
 */
export function effectLines(effects: readonly EffectCell[]): EffectLine[] {
  return effects.map(({ task, kind, cause, share, low, high, priorShare, ...counts }) => ({
    task,
    about: `${words[kind]} by ${cause === "unknown" ? "a cause not known" : cause}`,
    visits: counts.visits,
    observed: counts.observed,
    expected: counts.expected,
    prevented: { mean: share, low, high },
    prior: priorShare,
  }));
}
