import type { DriftModel } from "@/lib/analyse/drift/model";
import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, tooLittleData } from "@/lib/analyse/findings/kind";
import { driftPicture } from "@/lib/analyse/findings/signal-drift/picture";
import { effectUnit, monthlyChange, question, sentence } from "@/lib/analyse/findings/signal-drift/wording";
import type { FleetContext } from "@/lib/analyse/fleet-context";
import type { DetectorHistory } from "@/lib/analyse/history";
import { chanceInWords, inWords, percentInWords } from "@/lib/analyse/wording";
import { signalPctOf } from "@/lib/kernel/units";
import { cauchyCombination } from "@/lib/statistics/cauchy-combination";

/** Whether a detector's signal falls, or its compensation is used up, and when the limit is reached. */
export const signalDrift = {
  name: "signal_drift",
  question,
  effectUnit,
  test: testSignalDrift,
} as const satisfies FindingKind;

function testSignalDrift(history: DetectorHistory, fleet: FleetContext): TestResult {
  const drift = fleet.drifts.get(history.detector.detectorId);
  if (!drift) return tooLittleData("no readings");
  if (drift.outcome === "none") return tooLittleData(drift.reason);
  const { leading, toLimit, pValues } = drift;
  const { asOf, site } = history;
  const pValue = cauchyCombination(pValues);
  return {
    outcome: "tested",
    pValue,
    effect: { value: toLimit.days, low: toLimit.earliest, high: toLimit.latest, unit: effectUnit },
    sentence: sentence(leading, { toLimit, asOf, zone: site.timeZone }),
    threat: drift.threat,
    facts: factsOf(drift, { pValue, horizonDays: fleet.horizonDays }),
    picture: driftPicture(leading, { asOf, horizonDays: fleet.horizonDays, toLimit }),
  };
}

function factsOf(
  { leading, chanceInHorizon, swingDb }: Extract<DriftModel, { outcome: "fitted" }>,
  { pValue, horizonDays }: { pValue: number; horizonDays: number },
): Fact[] {
  const { quantity, level, limit, weeks, segments, term } = leading;
  const shown = (value: number) => `${inWords(quantity === "signal" ? signalPctOf(value) : value)} %`;
  return [
    { label: quantity === "signal" ? "Signal without season" : "Compensation used", value: shown(level) },
    { label: "Limit", value: shown(limit) },
    { label: "Change a month", value: `${inWords(monthlyChange(leading))} points` },
    { label: "Weeks of readings", value: `${weeks} in ${segments.length} stretches between resets` },
    { label: "Season taken from", value: term.source },
    { label: "Swing with day and year", value: `${inWords(swingDb)} dB` },
    { label: `Chance of reaching the limit in ${horizonDays} days`, value: percentInWords(chanceInHorizon) },
    { label: "Chance of such a drift in an ordinary detector", value: chanceInWords(pValue) },
  ];
}
