import type { DetectorHistory } from "@/lib/analyse/history";
import { realignmentGain } from "@/lib/analyse/realignment-gain";
import { DAY_MS } from "@/lib/kernel/units";
import type { Work } from "@/lib/records/work";

/** How an alignment ended. */
export type HoldEnding =
  | "realigned on call-out"
  | "realigned on trial"
  | "realigned as planned"
  | "cleaned"
  | "replaced"
  | "holds today";

/** A visit that may have changed an alignment. */
export type HoldVisit = { readonly at: number; readonly ending: HoldEnding };

/** What the whole fleet's work says of itself. */
export type FleetWork = {
  /** Days and sites of service rounds. */
  readonly rounds: ReadonlySet<string>;
  /** Whether readings of this fleet show what a realignment does: at least five gained by it. */
  readonly readingsTell: boolean;
  /** Whether the signal before and after is known of at least half of the realignments on call-out. */
  readonly measures: boolean;
};

const SAME_VISIT_DAYS = 3;
/** Days within which a fault or alarm counts as what a visit was called for. */
export const CALL_OUT_DAYS = 14;
const ROUND_DETECTORS = 3;
const ROUND_SHARE = 0.3;
const LEAST_GAINS = 5;

/** What the fleet's work says of itself; a fleet without realignments measures none. */
export function fleetWork(histories: readonly DetectorHistory[]): FleetWork {
  const gains = histories.flatMap((history) =>
    history.work.flatMap((work) => {
      if (work.task !== "realign") return [];
      return [{ gain: realignmentGain(work, history), callOut: isCallOut(work, history) }];
    }),
  );
  const shown = gains.filter(({ gain }) => gain?.from === "readings" && gain.gainDb >= gain.leastDb).length;
  const readingsTell = shown >= LEAST_GAINS;
  const onCall = gains.filter(({ callOut }) => callOut);
  const measured = onCall.filter(({ gain }) => gain !== null && (gain.from === "work record" || readingsTell));
  return {
    rounds: serviceRounds(histories),
    readingsTell,
    measures: onCall.length > 0 && 2 * measured.length >= onCall.length,
  };
}

/** Whether a realignment was a call-out: said so, or unsaid and within two weeks of the detector's own fault or alarm. */
export function isCallOut(work: Work, { faults, ownAlarms }: DetectorHistory): boolean {
  if (work.reactive !== null) return work.reactive;
  const since = work.doneAt - CALL_OUT_DAYS * DAY_MS;
  return [...faults, ...ownAlarms].some(({ beganAt }) => beganAt >= since && beganAt <= work.doneAt);
}

/** Visits of a detector that may have changed its alignment, oldest first; those at most three days apart are one. */
export function holdVisits(history: DetectorHistory, fleet: FleetWork): HoldVisit[] {
  const visits: { at: number; ending: HoldEnding }[] = [];
  for (const work of history.work) {
    const ending = endingOf(work, { history, fleet });
    if (ending === null) continue;
    const last = visits.at(-1);
    if (!last || work.doneAt - last.at > SAME_VISIT_DAYS * DAY_MS) visits.push({ at: work.doneAt, ending });
    else if (severity[ending] > severity[last.ending]) last.ending = ending;
  }
  return visits;
}

const severity: Readonly<Record<HoldEnding, number>> = {
  "holds today": 0,
  cleaned: 1,
  "realigned as planned": 2,
  "realigned on trial": 3,
  "realigned on call-out": 4,
  replaced: 5,
};

function endingOf(work: Work, { history, fleet }: { history: DetectorHistory; fleet: FleetWork }): HoldEnding | null {
  if (work.task === "replace") return "replaced";
  if (work.task === "clean") return "cleaned";
  if (work.task !== "realign") return null;
  const routine = work.reactive === null && fleet.rounds.has(dayKey(history, work));
  if (routine || !isCallOut(work, history)) return "realigned as planned";
  return isTrial(work, { history, fleet }) ? "realigned on trial" : "realigned on call-out";
}

// A realignment that got nothing back was tried because something was wrong, not because the alignment was. Where
// nothing was measured, the panel may have named a cause that is none of the signal's.
function isTrial(work: Work, { history, fleet }: { history: DetectorHistory; fleet: FleetWork }): boolean {
  const gain = realignmentGain(work, history);
  if (gain !== null && (gain.from === "work record" || fleet.readingsTell)) return gain.gainDb < gain.leastDb;
  const since = work.doneAt - CALL_OUT_DAYS * DAY_MS;
  const named = history.faults.flatMap(({ beganAt, cause }) =>
    beganAt >= since && beganAt <= work.doneAt && cause !== null && cause !== "unknown" ? [cause] : [],
  );
  return named.length > 0 && !named.some((cause) => cause === "low_signal" || cause === "compensation_limit");
}

// Days on which many of a site's detectors were worked on: a realignment among them is routine unless it says otherwise.
// A working day seldom crosses midnight UTC where people are about, and a round that does is only parted in two.
function serviceRounds(histories: readonly DetectorHistory[]): Set<string> {
  const worked = new Map<string, Set<string>>();
  const members = new Map<string, number>();
  for (const history of histories) {
    members.set(history.site.siteId, (members.get(history.site.siteId) ?? 0) + 1);
    for (const work of history.work) {
      if (work.reactive === true) continue;
      const key = dayKey(history, work);
      const ids = worked.get(key) ?? new Set<string>();
      worked.set(key, ids.add(history.detector.detectorId));
    }
  }
  const rounds = [...worked].filter(([key, ids]) => {
    const site = members.get(key.slice(key.indexOf(" ") + 1)) ?? 0;
    return ids.size >= Math.max(ROUND_DETECTORS, ROUND_SHARE * site);
  });
  return new Set(rounds.map(([key]) => key));
}

function dayKey({ site }: DetectorHistory, { doneAt }: Work): string {
  return `${Math.floor(doneAt / DAY_MS)} ${site.siteId}`;
}
