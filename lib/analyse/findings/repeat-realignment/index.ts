import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, type Threat, tooLittleData } from "@/lib/analyse/findings/kind";
import { effectUnit, noReference, question, sentence, tooFew } from "@/lib/analyse/findings/repeat-realignment/wording";
import type { FleetContext } from "@/lib/analyse/fleet-context";
import type { DetectorHistory } from "@/lib/analyse/history";
import { type Hold, spellOf } from "@/lib/analyse/holds";
import type { HoldPicture } from "@/lib/analyse/picture";
import { chanceInWords, inWords } from "@/lib/analyse/wording";
import { localDateOf } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { binomialUpper } from "@/lib/statistics/distributions";
import { oneSampleLogRank } from "@/lib/statistics/observed-expected";
import { kaplanMeier } from "@/lib/statistics/survival";

const LEAST_FAILURES = 2;
const LEAST_REFERENCE = 5;

/** Whether a detector needs realigning on call-out more often than the alignments of the other detectors do. */
export const repeatRealignment = {
  name: "repeat_realignment",
  question,
  effectUnit,
  test: testRepeatRealignment,
} as const satisfies FindingKind;

function testRepeatRealignment(history: DetectorHistory, fleet: FleetContext): TestResult {
  const holds = fleet.holds.holdsOf(history.detector.detectorId);
  const failures = holds.filter((hold) => hold.failed).length;
  if (failures < LEAST_FAILURES) {
    const reason = tooLittleData(tooFew(failures, LEAST_FAILURES));
    // Its alignments were watched and held: one of the tests made, though there is nothing to say of it.
    return holds.length === 0 ? reason : { ...reason, countsInFamily: true };
  }
  const others = fleet.holds.hazardOfOthers(history);
  const comparison = oneSampleLogRank({ gaps: holds.map(spellOf), reference: others.hazard });
  const { observed, expected, ratio, low, high } = comparison;
  if (others.failures < LEAST_REFERENCE || ratio === null) return tooLittleData(noReference);
  // The reference is itself counted from so many failures: given the total, the detector's share is binomial.
  const pValue = binomialUpper(observed, { n: observed + others.failures, p: expected / (expected + others.failures) });
  return {
    outcome: "tested",
    pValue,
    effect: { value: ratio, low, high, unit: effectUnit },
    sentence: sentence({ observed, expected, ratio, low, high }),
    threat: threatOf(history, fleet),
    facts: factsOf(holds, { fleet, expected, pValue }),
    picture: pictureOf(history, holds, fleet),
  };
}

function threatOf(history: DetectorHistory, fleet: FleetContext): Threat {
  const drift = fleet.drifts.get(history.detector.detectorId);
  const moves = drift?.outcome === "fitted" && drift.threat === "thermal movement";
  return moves ? "thermal movement" : "mount that will not hold";
}

function factsOf(
  holds: readonly Hold[],
  { fleet, expected, pValue }: { fleet: FleetContext; expected: number; pValue: number },
): Fact[] {
  const own = kaplanMeier(holds.map(spellOf)).median;
  const ofFleet = fleet.holds.medianDays;
  return [
    { label: "Realignments on call-out", value: String(holds.filter((hold) => hold.failed).length) },
    { label: "Expected from the fleet's alignments", value: inWords(expected) },
    { label: "Median days held", value: own === null ? "more than half still held" : String(Math.round(own)) },
    {
      label: "The fleet's median",
      value: ofFleet === null ? "more than half still held" : String(Math.round(ofFleet)),
    },
    { label: "Chance of so many on an ordinary mount", value: chanceInWords(pValue) },
  ];
}

function pictureOf({ site }: DetectorHistory, holds: readonly Hold[], fleet: FleetContext): HoldPicture {
  return {
    type: "hold",
    holds: holds.map(({ startAt, endAt, failed, ending }) => ({
      from: localDateOf(startAt, site.timeZone),
      days: (endAt - startAt) / DAY_MS,
      failed,
      ending,
    })),
    fleetMedianDays: fleet.holds.medianDays,
  };
}
