import type { DetectorHistory } from "@/lib/analyse/history";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

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
  return firstAtOrAfter(moments, endAt) - firstAtOrAfter(moments, startAt);
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
  const tau = tauDays * DAY_MS;
  let count = 0;
  for (const moment of record.clusters) if (moment < at) count += Math.exp((moment - at) / tau);
  let days = 0;
  for (const { startAt, endAt } of record.exposure) {
    if (startAt >= at) break;
    days += tauDays * (Math.exp((Math.min(endAt, at) - at) / tau) - Math.exp((startAt - at) / tau));
  }
  return { count, days };
}

function firstAtOrAfter(moments: readonly number[], at: number): number {
  let low = 0;
  let high = moments.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((moments[middle] ?? Infinity) < at) low = middle + 1;
    else high = middle;
  }
  return low;
}
