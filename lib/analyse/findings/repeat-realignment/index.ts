import { signalCauses } from "@/lib/analyse/drift/signal-causes";
import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, type Threat, tooLittleData } from "@/lib/analyse/findings/kind";
import { effectUnit, noReference, question, sentence, tooFew } from "@/lib/analyse/findings/repeat-realignment/wording";
import type { FindingsContext } from "@/lib/analyse/findings-context";
import type { DetectorHistory } from "@/lib/analyse/history";
import { type Hold, type HoldComparison, spellOf } from "@/lib/analyse/holds";
import type { HoldPicture } from "@/lib/analyse/picture";
import { chanceInWords, inWords } from "@/lib/analyse/wording";
import { localDateOf } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { binomialUpper, negativeBinomialUpper } from "@/lib/statistics/distributions";
import { type FrailtyMixture, shrunkHazard } from "@/lib/statistics/frailty-mixture";
import { compareToExpected } from "@/lib/statistics/observed-expected";
import { kaplanMeier } from "@/lib/statistics/survival";

// Two may be two strokes of bad luck, or one of them a call-out that had another cause; records do not tell them apart.
const LEAST_FAILURES = 3;
const LEAST_REFERENCE = 5;

/** Whether a detector needs realigning on call-out more often than the alignments of the other detectors do. */
export const repeatRealignment = {
  name: "repeat_realignment",
  question,
  effectUnit,
  test: testRepeatRealignment,
} as const satisfies FindingKind;

function testRepeatRealignment(history: DetectorHistory, fleet: FindingsContext): TestResult {
  const holds = fleet.holds.holdsOf(history.detector.detectorId);
  const failures = holds.filter((hold) => hold.failed).length;
  if (failures < LEAST_FAILURES) {
    const reason = tooLittleData(tooFew(failures, LEAST_FAILURES));
    // Its alignments were watched and held: one of the tests made, though there is nothing to say of it.
    return holds.length === 0 ? reason : { ...reason, countsInFamily: true };
  }
  const comparison = fleet.holds.comparisonOf(history.detector.detectorId);
  if (!comparison || comparison.failures < LEAST_REFERENCE || comparison.expected === 0) {
    return tooLittleData(noReference);
  }
  const { mounts } = fleet.holds;
  const pValue = chanceOnOrdinaryMount(comparison, mounts);
  const { observed, expected } = comparison;
  const { ratio, low, high } = ratioOf(comparison, mounts);
  return {
    outcome: "tested",
    pValue,
    effect: { value: ratio, low, high, unit: effectUnit },
    sentence: sentence({
      observed,
      expected: expected * (mounts?.ordinary.mean ?? 1),
      ratio,
      low,
      high,
      shrunk: mounts !== null,
    }),
    threat: threatOf(history, fleet),
    facts: factsOf(holds, { fleet, comparison, pValue }),
    picture: pictureOf(history, holds, fleet),
  };
}

// The fleet's ordinary mounts differ too, and the reference is itself counted from so many failures: both widen the
// Poisson count to a negative binomial one. Given a total, an exact reference of like mounts makes the share binomial.
function chanceOnOrdinaryMount(
  { observed, expected, failures }: HoldComparison,
  mounts: FrailtyMixture | null,
): number {
  const mean = expected * (mounts?.ordinary.mean ?? 1);
  const spread = mounts === null ? 0 : 1 / mounts.ordinary.shape;
  if (spread === 0) return binomialUpper(observed, { n: observed + failures, p: mean / (mean + failures) });
  return negativeBinomialUpper(observed, { size: 1 / (spread + 1 / failures), mean });
}

function ratioOf(comparison: HoldComparison, mounts: FrailtyMixture | null) {
  if (mounts !== null) {
    const { value, low, high } = shrunkHazard(comparison, mounts);
    const usual = mounts.ordinary.mean;
    return { ratio: value / usual, low: low / usual, high: high / usual };
  }
  const { ratio, low, high } = compareToExpected(comparison);
  return { ratio: ratio ?? 0, low, high };
}

function threatOf(history: DetectorHistory, fleet: FindingsContext): Threat {
  const drift = fleet.drifts.get(history.detector.detectorId);
  const moves = drift && signalCauses(drift)[0]?.cause === "thermal movement";
  return moves ? "thermal movement" : "mount that will not hold";
}

function factsOf(
  holds: readonly Hold[],
  { fleet, comparison, pValue }: { fleet: FindingsContext; comparison: HoldComparison; pValue: number },
): Fact[] {
  const own = kaplanMeier(holds.map(spellOf)).median;
  const ofFleet = fleet.holds.medianDays;
  const trials = holds.filter(({ ending }) => ending === "realigned on trial").length;
  const expected = comparison.expected * (fleet.holds.mounts?.ordinary.mean ?? 1);
  return [
    { label: "Realignments on call-out", value: String(holds.filter((hold) => hold.failed).length) },
    { label: "Realigned on trial, the signal none the better", value: String(trials) },
    { label: "Expected from the fleet's ordinary alignments", value: inWords(expected) },
    { label: "Median days held", value: own === null ? "more than half still held" : String(Math.round(own)) },
    {
      label: "The fleet's median",
      value: ofFleet === null ? "more than half still held" : String(Math.round(ofFleet)),
    },
    { label: "Chance of so many on an ordinary mount", value: chanceInWords(pValue) },
  ];
}

function pictureOf({ site }: DetectorHistory, holds: readonly Hold[], fleet: FindingsContext): HoldPicture {
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
