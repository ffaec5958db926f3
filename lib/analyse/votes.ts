import { medianOf } from "@/lib/statistics/descriptive";

const LEAST_VOTES = 3;

/**
 * Most votes one detector has on what is usual in a fleet: twice the usual number of events among detectors with any.
 *
 * A few detectors with many events of a season or a time of day of their own must not pass for the fleet.
 *
 * @param counts - events of each detector
 * @returns at least 3
 */
export function mostVotes(counts: readonly number[]): number {
  return Math.max(LEAST_VOTES, 2 * (medianOf(counts.filter((count) => count > 0)) ?? 0));
}

/** What each event of a detector counts for, so that all of them together have no more than the most votes. */
export function voteOf(events: number, most: number): number {
  return Math.min(1, most / events);
}
