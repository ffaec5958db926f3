import type { DetectorHistory } from "@/lib/analyse/history";
import { mountsByHeight } from "@/lib/analyse/mounts";
import { DAY_MS } from "@/lib/kernel/units";
import { forms } from "@/lib/records/vocabulary";
import type { Work } from "@/lib/records/work";
import type { FrailtyMixture, UnitEvents } from "@/lib/statistics/frailty-mixture";
import { hazardWithout } from "@/lib/statistics/leave-one-out";
import { oneSampleLogRank } from "@/lib/statistics/observed-expected";
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
  /** Failed alignments of a detector and those expected from the others, by form and height; null without reference. */
  readonly comparisonOf: (detectorId: string) => HoldComparison | null;
  /** How mounts differ over the fleet; null with fewer than 40 detectors that have a watched alignment. */
  readonly mounts: FrailtyMixture | null;
  /** Median days held over the fleet; null when fewer than half of the alignments failed. */
  readonly medianDays: number | null;
};

/** What the others lead one to expect of a detector's alignments; `failures` are theirs. */
export type HoldComparison = UnitEvents & {
  readonly failures: number;
  /** Hazard at the detector's height against the fleet's usual height; 1 where height makes no difference. */
  readonly heightFactor: number;
};

const SAME_VISIT_DAYS = 3;
const CALL_OUT_DAYS = 14;
const LEAST_GROUP_FAILURES = 20;
const ROUND_DETECTORS = 3;
const ROUND_SHARE = 0.3;

/**
 * Alignments of a fleet. The others of the same form are the reference; all others where those failed too seldom.
 *
 * Height multiplies the hazard by a power fitted on the detectors that are not apart from the others.
 */
export function holdReference(
  histories: readonly DetectorHistory[],
  { firstRecordAt }: { firstRecordAt: number },
): HoldReference {
  const rounds = serviceRounds(histories);
  const holds = new Map(
    histories.map((history) => [history.detector.detectorId, holdsOf(history, { firstRecordAt, rounds })]),
  );
  const all = [...holds.values()].flat().map(spellOf);
  const hazardOfOthers = hazards(histories, holds);
  const compared = new Map(
    histories.flatMap((history) => {
      const own = (holds.get(history.detector.detectorId) ?? []).map(spellOf);
      if (own.length === 0) return [];
      const { hazard, failures } = hazardOfOthers(history);
      const { observed, expected } = oneSampleLogRank({ gaps: own, reference: hazard });
      const unit = { observed, expected, failures, height: history.detector.heightM };
      return [[history.detector.detectorId, unit] as const];
    }),
  );
  const { units, mounts } = mountsByHeight([...compared.values()]);
  const places = new Map([...compared.keys()].map((id, index) => [id, index]));
  return {
    holdsOf: (detectorId) => holds.get(detectorId) ?? [],
    hazardOfOthers,
    comparisonOf: (detectorId) => units[places.get(detectorId) ?? -1] ?? null,
    mounts,
    medianDays: kaplanMeier(all).median,
  };
}

function hazards(histories: readonly DetectorHistory[], holds: ReadonlyMap<string, readonly Hold[]>) {
  const formOf = new Map(histories.map(({ detector }) => [detector.detectorId, detector.form]));
  const fleet = riskTable([...holds.values()].flat().map(spellOf));
  const byForm = new Map(
    forms.map((form) => [
      form,
      riskTable([...holds].flatMap(([id, list]) => (formOf.get(id) === form ? list.map(spellOf) : []))),
    ]),
  );
  const events = new Map([fleet, ...byForm.values()].map((table) => [table, eventsIn(table)]));
  return ({ detector }: DetectorHistory) => {
    const own = (holds.get(detector.detectorId) ?? []).map(spellOf);
    const failuresOfOthers = (table: RiskTable) => (events.get(table) ?? 0) - failuresIn(own);
    const same = byForm.get(detector.form) ?? fleet;
    const table = failuresOfOthers(same) >= LEAST_GROUP_FAILURES ? same : fleet;
    return { hazard: hazardWithout(table, own), failures: failuresOfOthers(table) };
  };
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
function holdsOf(
  history: DetectorHistory,
  { firstRecordAt, rounds }: { firstRecordAt: number; rounds: ReadonlySet<string> },
): Hold[] {
  const holds: Hold[] = [];
  let startAt = history.installedAt >= firstRecordAt ? history.installedAt : null;
  for (const visit of visitsOf(history, rounds)) {
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

function visitsOf(history: DetectorHistory, rounds: ReadonlySet<string>): { at: number; ending: HoldEnding }[] {
  const visits: { at: number; ending: HoldEnding }[] = [];
  for (const work of history.work) {
    const ending = endingOf(work, { history, rounds });
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

function endingOf(
  work: Work,
  { history, rounds }: { history: DetectorHistory; rounds: ReadonlySet<string> },
): HoldEnding | null {
  if (work.task === "replace") return "replaced";
  if (work.task === "clean") return "cleaned";
  if (work.task !== "realign") return null;
  const routine = work.reactive === null && rounds.has(dayKey(history, work));
  return !routine && isCallOut(work, history) ? "realigned on call-out" : "realigned as planned";
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
