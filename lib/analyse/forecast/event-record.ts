import type { DetectorHistory } from "@/lib/analyse/history";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { countBelow } from "@/lib/kernel/sorted";
import { DAY_MS } from "@/lib/kernel/units";
import { exponentialForgetting } from "@/lib/statistics/exponential-forgetting";

/** One detector's events of one kind, oldest first, and the time they were counted over. */
export type EventRecord = {
  /** Moments at which episodes began. */
  readonly episodes: readonly number[];
  /** Moments at which clusters began. */
  readonly clusters: readonly number[];
  /** Time at risk, for rates of the past. */
  readonly exposure: readonly Span[];
  /** Observed time, for what came after an origin: an open fault is part of the world without a visit. */
  readonly observed: readonly Span[];
};

/** Events of one kind out of a detector's history. */
export function eventRecord(history: DetectorHistory, kind: EventKind): EventRecord {
  const { exposure } = history;
  const [episodes, clusters, atRisk] =
    kind === "fault"
      ? [history.faults, history.faultClusters, exposure.faultRisk]
      : [history.ownAlarms, history.alarmClusters, exposure.observed];
  return {
    episodes: episodes.map(({ beganAt }) => beganAt),
    clusters: clusters.map(({ beganAt }) => beganAt),
    exposure: atRisk,
    observed: exposure.observed,
  };
}

/** How many of the rising moments lie in [startAt, endAt). */
export function countIn(moments: readonly number[], { startAt, endAt }: Span): number {
  return countBelow(moments, endAt) - countBelow(moments, startAt);
}

/** Days of exposure in [startAt, endAt). */
export function daysIn(spans: readonly Span[], span: Span): number {
  return lengthOf(within(spans, span)) / DAY_MS;
}

/** Count and exposure in days before `at`, each weighed by exp(-age / tauDays). */
export function decayedBefore(
  record: EventRecord,
  { at, tauDays }: { at: number; tauDays: number },
): { count: number; days: number } {
  const { count, exposure } = exponentialForgetting({
    inService: record.exposure.map(({ startAt, endAt }) => [startAt, endAt] as const),
    events: record.clusters,
    asOf: at,
    tau: tauDays * DAY_MS,
  });
  return { count, days: exposure / DAY_MS };
}
