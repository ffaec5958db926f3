import type { DetectorHistory, FleetHistory } from "@/lib/analyse/history";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { preventiveTasks } from "@/lib/rank/effects";

/** What came at one detector within a horizon. */
export type Realised = {
  /** Own fault episodes and own unwanted alarms that began in it. */
  readonly faults: number;
  readonly alarms: number;
  /** Days in service and observed. */
  readonly observedDays: number;
  /** Whether planned work was done that could have prevented events. */
  readonly visited: boolean;
};

/** The histories of a fleet as known at the end, by detector id. */
export type KnownOutcome = ReadonlyMap<string, DetectorHistory>;

/** Looks detectors up in the fleet as known at the end. */
export function knownOutcome({ detectors }: FleetHistory): KnownOutcome {
  return new Map(detectors.map((history) => [history.detector.detectorId, history]));
}

/**
 * What came at a detector from `startAt` on and before `endAt`: episodes as the product counts them, site-wide ones out.
 *
 * Planned work is a preventive task that is not known as a call-out.
 */
export function realisedIn(history: DetectorHistory | undefined, horizon: Span): Realised {
  if (!history) return { faults: 0, alarms: 0, observedDays: 0, visited: false };
  return {
    faults: beginningIn(history.faults, horizon),
    alarms: beginningIn(history.ownAlarms, horizon),
    observedDays: lengthOf(within(history.exposure.observed, horizon)) / DAY_MS,
    visited: history.work.some(
      ({ task, doneAt, reactive }) =>
        reactive !== true &&
        doneAt >= horizon.startAt &&
        doneAt < horizon.endAt &&
        preventiveTasks.some((preventive) => preventive === task),
    ),
  };
}

/** How many episodes began in a span. */
export function beginningIn(episodes: readonly { readonly beganAt: number }[], { startAt, endAt }: Span): number {
  return episodes.filter(({ beganAt }) => beganAt >= startAt && beganAt < endAt).length;
}
