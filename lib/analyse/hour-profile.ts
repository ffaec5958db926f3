import type { DetectorHistory } from "@/lib/analyse/history";
import { mostVotes, voteOf } from "@/lib/analyse/votes";
import { hourOfDay } from "@/lib/kernel/time";

/** Own false-alarm clusters of a fleet by hour of their site's day. */
export type AlarmHours = {
  /** 24 sums of votes. */
  readonly votes: readonly number[];
  /** Most votes a detector has: one with more alarms counts each of them for less. */
  readonly most: number;
};

const LEAST_VOTES = 50;
// Pseudo-events spread evenly, so that an hour without an alarm is unlikely but not impossible.
const EVEN_EVENTS = 24;

/** Own false-alarm clusters of detectors by hour of their site's day. */
export function alarmHours(histories: readonly DetectorHistory[]): AlarmHours {
  const votes = new Array<number>(24).fill(0);
  const most = mostVotes(histories.map(({ alarmClusters }) => alarmClusters.length));
  for (const { alarmClusters, site } of histories) {
    const weight = voteOf(alarmClusters.length, most);
    for (const { beganAt } of alarmClusters) add(votes, hourOfDay(beganAt, site.timeZone), weight);
  }
  return { votes, most };
}

/**
 * How alarms of any cause spread over the day, as 24 weights of mean 1, without the hours of one detector's own.
 *
 * Smoothed over three hours; null where fewer than 50 votes are left to learn it from.
 */
export function hourWeights({ votes, most }: AlarmHours, own: readonly number[] = []): number[] | null {
  const rest = [...votes];
  for (const hour of own) add(rest, hour, -voteOf(own.length, most));
  const total = rest.reduce((sum, count) => sum + count, 0);
  if (total < LEAST_VOTES) return null;
  return rest.map((count, hour) => {
    const around = (rest[(hour + 23) % 24] ?? 0) + count + (rest[(hour + 1) % 24] ?? 0);
    return (24 * (around / 3 + EVEN_EVENTS / 24)) / (total + EVEN_EVENTS);
  });
}

function add(votes: number[], at: number, weight: number): void {
  const hour = Math.floor(at);
  votes[hour] = (votes[hour] ?? 0) + weight;
}

/**
 * A day for fleets with too few alarms to know their own, 24 weights of mean 1: about 2.7 times as many at 13 h as at
 * 1 h, as two public records of fire brigades show.
 */
export const usualDay: readonly number[] = Array.from(
  { length: 24 },
  (_, hour) => 1 + 0.46 * Math.cos((2 * Math.PI * (hour + 0.5 - 13)) / 24),
);
