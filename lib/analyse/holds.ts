import type { DetectorHistory } from "@/lib/analyse/history";
import { CALL_OUT_DAYS, type FleetWork, fleetWork, type HoldEnding, holdVisits } from "@/lib/analyse/hold-visits";
import { mountsByHeight } from "@/lib/analyse/mounts";
import { DAY_MS } from "@/lib/kernel/units";
import { forms } from "@/lib/records/vocabulary";
import type { FrailtyMixture, UnitEvents } from "@/lib/statistics/frailty-mixture";
import { hazardWithout } from "@/lib/statistics/leave-one-out";
import { oneSampleLogRank } from "@/lib/statistics/observed-expected";
import { kaplanMeier, type RiskTable, riskTable, type Spell, type StepFunction } from "@/lib/statistics/survival";

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
  /** Failed alignments of a detector and those expected from the others, its own faults, form and height; null without. */
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

const LEAST_GROUP_FAILURES = 20;

/**
 * Alignments of a fleet. The others of the same form are the reference; all others where those failed too seldom.
 *
 * A detector with many faults is called out to often and realigned on the way, so its own faults and alarms add to what
 * is expected. Height multiplies the hazard by a power fitted on the detectors that are not apart from the others.
 */
export function holdReference(
  histories: readonly DetectorHistory[],
  { firstRecordAt }: { firstRecordAt: number },
): HoldReference {
  const fleet = fleetWork(histories);
  const holds = new Map(
    histories.map((history) => [history.detector.detectorId, holdsOf(history, { firstRecordAt, fleet })]),
  );
  const all = [...holds.values()].flat().map(spellOf);
  const hazardOfOthers = hazards(histories, holds);
  const compared = new Map(
    histories.flatMap((history) => {
      const own = (holds.get(history.detector.detectorId) ?? []).map(spellOf);
      if (own.length === 0) return [];
      const { hazard, failures } = hazardOfOthers(history);
      const { observed, expected } = oneSampleLogRank({ gaps: own, reference: hazard });
      const calls = callsWhile(history, { holds: holds.get(history.detector.detectorId) ?? [], fleet });
      const unit = { observed, expected, failures, calls, height: history.detector.heightM };
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

// Faults and false alarms for which someone may have been called while the alignments were watched. Where the signal was
// seldom measured, those that led to a realignment would explain themselves away, so only the others count.
function callsWhile(
  { faultClusters, alarmClusters }: DetectorHistory,
  { holds, fleet }: { holds: readonly Hold[]; fleet: FleetWork },
): number[] {
  const since = holds[0]?.startAt ?? Infinity;
  const failures = fleet.measures ? [] : holds.filter(({ failed }) => failed);
  const counts = ({ beganAt }: { readonly beganAt: number }) =>
    beganAt >= since && !failures.some(({ endAt }) => endAt >= beganAt && endAt - beganAt <= CALL_OUT_DAYS * DAY_MS);
  return [faultClusters, alarmClusters].map((clusters) => clusters.filter(counts).length);
}

/** A hold as a spell in days. */
export function spellOf({ startAt, endAt, failed }: Hold): Spell {
  return { stop: (endAt - startAt) / DAY_MS, event: failed };
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
  { firstRecordAt, fleet }: { firstRecordAt: number; fleet: FleetWork },
): Hold[] {
  const holds: Hold[] = [];
  let startAt = history.installedAt >= firstRecordAt ? history.installedAt : null;
  for (const visit of holdVisits(history, fleet)) {
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
