import { compareText } from "@/lib/kernel/text";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import { type FaultCause, falseAlarmVerdicts, ownFalseAlarmVerdicts, type Verdict } from "@/lib/records/vocabulary";

/** Records of one detector and condition that belong together; counted once. */
export type Episode = {
  readonly beganAt: number;
  /** Null while it lasts or where no record of it says when it ended. */
  readonly endedAt: number | null;
  readonly records: number;
  /** The cause most of its records give; null where none does. */
  readonly cause: FaultCause | null;
  /** The gravest verdict among its records; null where none was given. */
  readonly verdict: Verdict | null;
};

/** Episodes that one cause may have brought back within days: one event for every test. */
export type Cluster = { readonly beganAt: number; readonly episodes: number };

const gravity: readonly Verdict[] = ["genuine", "unwanted", "equipment", "good_intent", "malicious", "unknown"];

/**
 * Episodes of records of one detector and condition, sorted by beginning.
 *
 * Records that overlap or follow within `joinMin` minutes are one. A record without an end reaches only to its
 * beginning: the panel may simply not say, and joining everything after it would hide later ones.
 */
export function episodesOf(records: readonly Event[], { joinMin }: { joinMin: number }): Episode[] {
  const groups: Event[][] = [];
  let reach = -Infinity;
  for (const record of records) {
    const group = groups.at(-1);
    const joins = record.beganAt - reach <= joinMin * MINUTE_MS;
    if (group && joins) group.push(record);
    else groups.push([record]);
    reach = Math.max(joins ? reach : -Infinity, record.endedAt ?? record.beganAt);
  }
  return groups.map(episodeOf);
}

/** Clusters of sorted episodes: each at most `joinDays` days after the end of the one before. */
export function clustersOf(episodes: readonly Episode[], { joinDays }: { joinDays: number }): Cluster[] {
  const clusters: { beganAt: number; episodes: number }[] = [];
  let reach = -Infinity;
  for (const { beganAt, endedAt } of episodes) {
    const last = clusters.at(-1);
    if (last && beganAt - reach <= joinDays * DAY_MS) last.episodes += 1;
    else clusters.push({ beganAt, episodes: 1 });
    reach = Math.max(reach, endedAt ?? beganAt);
  }
  return clusters;
}

/** Whether an episode is a false alarm: judged, and not genuine. */
export function isFalseAlarm({ verdict }: Episode): boolean {
  return verdict !== null && falseAlarmVerdicts.includes(verdict);
}

/** Whether an episode is a false alarm of the detector's own, which a visit can prevent. */
export function isOwnFalseAlarm({ verdict }: Episode): boolean {
  return verdict !== null && ownFalseAlarmVerdicts.includes(verdict);
}

function episodeOf(group: readonly Event[]): Episode {
  const ends = group.map((record) => record.endedAt);
  const known = ends.filter((end) => end !== null);
  return {
    beganAt: Math.min(...group.map((record) => record.beganAt)),
    endedAt: known.length === ends.length ? Math.max(...known) : null,
    records: group.length,
    cause: commonest(group.flatMap((record) => record.cause ?? [])),
    verdict: gravity.find((verdict) => group.some((record) => record.verdict === verdict)) ?? null,
  };
}

/** The word that occurs most; of equals the first in alphabetical order; null for none. */
export function commonest<Word extends string>(words: readonly Word[]): Word | null {
  const counts = new Map<Word, number>();
  for (const word of words) counts.set(word, (counts.get(word) ?? 0) + 1);
  const ranked = [...counts].sort(([a, m], [b, n]) => n - m || compareText(a, b));
  return ranked[0]?.[0] ?? null;
}
