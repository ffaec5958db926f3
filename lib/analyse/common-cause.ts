import { commonest } from "@/lib/analyse/episodes";
import { MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import { siteFaultCauses } from "@/lib/records/vocabulary";

/** An episode of a whole site: one cause outside its detectors. */
export type CommonCauseEpisode = {
  readonly beganAt: number;
  readonly endedAt: number | null;
  readonly cause: string;
  readonly detectors: number;
};

/** Faults of a site parted into those with a cause of the site and those that are a detector's own. */
export type PartedFaults = {
  readonly own: readonly Event[];
  readonly episodes: readonly CommonCauseEpisode[];
};

/**
 * Parts a site's fault records, sorted by beginning.
 *
 * A record is the site's when its cause is power or communication, or when within the window enough of the site's
 * detectors in service start a fault: at least `share` of them and at least `least`.
 *
 * @param inServiceAt - number of the site's detectors in service at a moment
 */
export function partFaults(
  faults: readonly Event[],
  {
    inServiceAt,
    windowMin,
    share,
    least,
    joinMin,
  }: {
    inServiceAt: (at: number) => number;
    windowMin: number;
    share: number;
    least: number;
    joinMin: number;
  },
): PartedFaults {
  const together = new Set<Event>();
  let last = 0;
  const starting = new Map<string, number>();
  for (const [first, fault] of faults.entries()) {
    while (last < faults.length && (faults[last]?.beganAt ?? Infinity) <= fault.beganAt + windowMin * MINUTE_MS) {
      const entering = faults[last];
      if (entering) starting.set(entering.detectorId, (starting.get(entering.detectorId) ?? 0) + 1);
      last += 1;
    }
    if (starting.size >= least && starting.size >= share * inServiceAt(fault.beganAt)) {
      for (const member of faults.slice(first, last)) together.add(member);
    }
    const left = (starting.get(fault.detectorId) ?? 1) - 1;
    if (left === 0) starting.delete(fault.detectorId);
    else starting.set(fault.detectorId, left);
  }
  const isSites = (fault: Event) =>
    together.has(fault) || (fault.cause !== null && siteFaultCauses.includes(fault.cause));
  return {
    own: faults.filter((fault) => !isSites(fault)),
    episodes: joined(faults.filter(isSites), joinMin),
  };
}

function joined(faults: readonly Event[], joinMin: number): CommonCauseEpisode[] {
  const groups: Event[][] = [];
  let reach = -Infinity;
  for (const fault of faults) {
    const group = groups.at(-1);
    if (group && fault.beganAt - reach <= joinMin * MINUTE_MS) group.push(fault);
    else groups.push([fault]);
    reach = Math.max(reach, fault.endedAt ?? fault.beganAt);
  }
  return groups.map((group) => {
    const ends = group.flatMap((fault) => fault.endedAt ?? []);
    return {
      beganAt: group[0]?.beganAt ?? 0,
      endedAt: ends.length === group.length ? Math.max(...ends) : null,
      cause: commonest(group.flatMap((fault) => fault.cause ?? [])) ?? "unknown",
      detectors: new Set(group.map((fault) => fault.detectorId)).size,
    };
  });
}
