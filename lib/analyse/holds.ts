import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import { forms } from "@/lib/records/vocabulary";
import type { Work } from "@/lib/records/work";
import { hazardWithout } from "@/lib/statistics/leave-one-out";
import { kaplanMeier, type RiskTable, riskTable, type Spell, type StepFunction } from "@/lib/statistics/survival";

/** How an alignment ended. */
export type HoldEnding = "realigned on call-out" | "realigned as planned" | "cleaned" | "replaced" | "holds today";

/** One alignment for as long as it held. */
export type Hold = {
  readonly startAt: number;
  readonly endAt: number;
  /** Whether it ended in a realignment on call-out; any other ending only stops the watch. */
  readonly failed: boolean;
  readonly ending: HoldEnding;
};

/** Alignments of the whole fleet, for one detector to be compared with the others. */
export type HoldReference = {
  readonly holdsOf: (detectorId: string) => readonly Hold[];
  /** Cumulative hazard of a failed alignment by days held, from the other detectors of its form. */
  readonly hazardOfOthers: (history: DetectorHistory) => { readonly hazard: StepFunction; readonly failures: number };
  /** Median days held over the fleet; null when fewer than half of the alignments failed. */
  readonly medianDays: number | null;
};

const SAME_VISIT_DAYS = 3;
const CALL_OUT_DAYS = 14;
const LEAST_GROUP_FAILURES = 20;

/** Alignments of a fleet. The others of the same form are the reference; all others where those failed too seldom. */
export function holdReference(histories: readonly DetectorHistory[], { firstRecordAt }: { firstRecordAt: number }) {
  const holds = new Map(histories.map((history) => [history.detector.detectorId, holdsOf(history, firstRecordAt)]));
  const formOf = new Map(histories.map(({ detector }) => [detector.detectorId, detector.form]));
  const fleet = riskTable([...holds.values()].flat().map(spellOf));
  const byForm = new Map(
    forms.map((form) => [
      form,
      riskTable([...holds].flatMap(([id, list]) => (formOf.get(id) === form ? list.map(spellOf) : []))),
    ]),
  );
  const reference: HoldReference = {
    holdsOf: (detectorId) => holds.get(detectorId) ?? [],
    hazardOfOthers: ({ detector }) => {
      const own = (holds.get(detector.detectorId) ?? []).map(spellOf);
      const failuresOfOthers = (table: RiskTable) => eventsIn(table) - failuresIn(own);
      const same = byForm.get(detector.form) ?? fleet;
      const table = failuresOfOthers(same) >= LEAST_GROUP_FAILURES ? same : fleet;
      return { hazard: hazardWithout(table, own), failures: failuresOfOthers(table) };
    },
    medianDays: kaplanMeier([...holds.values()].flat().map(spellOf)).median,
  };
  return reference;
}

/** A hold as a spell in days. */
export function spellOf({ startAt, endAt, failed }: Hold): Spell {
  return { stop: (endAt - startAt) / DAY_MS, event: failed };
}

/** Whether a realignment was a call-out: said so, or unsaid and within two weeks of the detector's own fault or alarm. */
export function isCallOut(work: Work, { faults, ownAlarms }: DetectorHistory): boolean {
  if (work.reactive !== null) return work.reactive;
  const since = work.doneAt - CALL_OUT_DAYS * DAY_MS;
  return [...faults, ...ownAlarms].some(({ beganAt }) => beganAt >= since && beganAt <= work.doneAt);
}

function eventsIn({ events }: RiskTable): number {
  return events.reduce((sum, count) => sum + count, 0);
}

function failuresIn(spells: readonly Spell[]): number {
  return spells.filter((spell) => spell.event).length;
}

// An alignment made before the first record has no known age, so the watch starts at the first visit on record.
function holdsOf(history: DetectorHistory, firstRecordAt: number): Hold[] {
  const holds: Hold[] = [];
  let startAt = history.installedAt >= firstRecordAt ? history.installedAt : null;
  for (const visit of visitsOf(history)) {
    if (startAt !== null && visit.at > startAt) {
      holds.push({ startAt, endAt: visit.at, failed: visit.ending === "realigned on call-out", ending: visit.ending });
    }
    startAt = visit.at;
  }
  if (startAt !== null && history.asOf > startAt) {
    holds.push({ startAt, endAt: history.asOf, failed: false, ending: "holds today" });
  }
  return holds;
}

function visitsOf(history: DetectorHistory): { at: number; ending: HoldEnding }[] {
  const visits: { at: number; ending: HoldEnding }[] = [];
  for (const work of history.work) {
    const ending = endingOf(work, history);
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
  "realigned on call-out": 3,
  replaced: 4,
};

function endingOf(work: Work, history: DetectorHistory): HoldEnding | null {
  if (work.task === "replace") return "replaced";
  if (work.task === "clean") return "cleaned";
  if (work.task !== "realign") return null;
  return isCallOut(work, history) ? "realigned on call-out" : "realigned as planned";
}
