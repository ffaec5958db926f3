import type { Episode } from "@/lib/analyse/episodes";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { type Span, unionOf, without } from "@/lib/kernel/interval";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";

/** When a site could be heard. */
export type SiteHearing = {
  readonly sendsReadings: boolean;
  /** From when on its detectors count as observed. */
  readonly observedFrom: number;
  /** Stretches in which it sent nothing for too long. Sorted, disjoint. */
  readonly silent: readonly Span[];
  /** Moment of its last reading or event; null when it never sent one. */
  readonly lastRecordAt: number | null;
};

const OPEN_FAULT_DAYS = 30;

/**
 * When a site was heard, from the presence of its detectors' readings and the moments of its events.
 *
 * A site that sends readings is heard from its first record on and silent from `silentAfterHours`, or five usual
 * intervals if that is longer, after its last record until the next. A site that never sends readings cannot be told
 * from a quiet one and counts as heard from the fleet's first record on.
 */
export function siteHearing({
  signals,
  eventTimes,
  fleetFirstAt,
  asOf,
  silentAfterHours,
}: {
  signals: readonly SignalSummary[];
  eventTimes: readonly number[];
  fleetFirstAt: number;
  asOf: number;
  silentAfterHours: number;
}): SiteHearing {
  const lastEvent = eventTimes.reduce<number | null>((last, at) => Math.max(last ?? at, at), null);
  if (signals.length === 0) {
    return { sendsReadings: false, observedFrom: fleetFirstAt, silent: [], lastRecordAt: lastEvent };
  }
  const intervals = signals.flatMap((signal) => signal.usualIntervalMs ?? []).sort((a, b) => a - b);
  const usual = intervals[intervals.length >> 1] ?? 0;
  const patience = Math.max(silentAfterHours * HOUR_MS, 5 * usual);
  const readings = signals.flatMap((signal) => signal.presence);
  const firstReading = readings.reduce((first, span) => Math.min(first, span.startAt), Infinity);
  // Before its first reading a site is not known as one that sends them, so silence says nothing there.
  const points = eventTimes.filter((at) => at > firstReading).map((at) => ({ startAt: at, endAt: at }));
  const heard = unionOf([...readings, ...points].map(({ startAt, endAt }) => ({ startAt, endAt: endAt + 1 })));
  const silent: Span[] = [];
  for (const [index, { endAt }] of heard.entries()) {
    const next = heard[index + 1]?.startAt ?? asOf;
    if (next - endAt > patience) silent.push({ startAt: endAt + patience, endAt: next });
  }
  const lastHeard = (heard.at(-1)?.endAt ?? 1) - 1;
  const firstEvent = eventTimes.reduce((first, at) => Math.min(first, at), Infinity);
  return {
    sendsReadings: true,
    observedFrom: Math.min(firstReading, firstEvent),
    silent,
    lastRecordAt: Math.max(lastHeard, lastEvent ?? lastHeard),
  };
}

/** The stretches of a detector's life that count; each sorted and disjoint. */
export type Exposure = {
  /** In service, whether observed or not: from installation (or the first record) to the as-of moment. */
  readonly inService: readonly Span[];
  /** In service and observed: what rates are counted over. */
  readonly observed: readonly Span[];
  /** The same without known open faults: a detector in fault cannot start another. */
  readonly faultRisk: readonly Span[];
};

/** Exposure of one detector; empty lists when it was never observed. */
export function exposureOf({
  installedAt,
  hearing,
  outOfService,
  faults,
  asOf,
}: {
  installedAt: number;
  hearing: SiteHearing;
  outOfService: readonly Span[];
  faults: readonly Episode[];
  asOf: number;
}): Exposure {
  const inService = unionOf([{ startAt: Math.max(installedAt, hearing.observedFrom), endAt: asOf }]);
  const observed = without(inService, [...outOfService, ...hearing.silent]);
  // A fault without an end may be one whose panel does not say; it stands for at most a month.
  const open = faults.map(({ beganAt, endedAt }) => ({
    startAt: beganAt + 1,
    endAt: endedAt ?? Math.min(asOf, beganAt + OPEN_FAULT_DAYS * DAY_MS),
  }));
  return { inService, observed, faultRisk: without(observed, open) };
}
