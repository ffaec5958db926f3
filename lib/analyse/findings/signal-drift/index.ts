import type { DriftFit } from "@/lib/analyse/drift/fit";
import type { FittedDrift } from "@/lib/analyse/drift/model";
import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, tooLittleData } from "@/lib/analyse/findings/kind";
import { driftPicture } from "@/lib/analyse/findings/signal-drift/picture";
import { effectUnit, monthlyChange, question, sentence } from "@/lib/analyse/findings/signal-drift/wording";
import type { FindingsContext } from "@/lib/analyse/findings-context";
import type { DetectorHistory } from "@/lib/analyse/history";
import { chanceInWords, inWords, percentInWords } from "@/lib/analyse/wording";
import { signalPctOf } from "@/lib/kernel/units";

/** Whether a detector's signal falls, or its compensation is used up, and when the limit is reached. */
export const signalDrift = {
  name: "signal_drift",
  question,
  effectUnit,
  test: testSignalDrift,
} as const satisfies FindingKind;

function testSignalDrift(history: DetectorHistory, fleet: FindingsContext): TestResult {
  const drift = fleet.drifts.get(history.detector.detectorId);
  if (!drift) return tooLittleData("no readings");
  if (drift.outcome === "none") return tooLittleData(drift.reason);
  const { leading, toLimit, pValues } = drift;
  const { asOf, site } = history;
  // Bonferroni rather than Cauchy: a quantity that is surely safe must not outweigh one that is not.
  const pValue = Math.min(1, pValues.length * Math.min(...pValues));
  return {
    outcome: "tested",
    pValue,
    effect: { value: toLimit.days, low: toLimit.earliest, high: toLimit.latest, unit: effectUnit },
    sentence: sentence(drift, { asOf, zone: site.timeZone }),
    threat: threatOf(drift),
    facts: factsOf(drift, { pValue, horizonDays: fleet.horizonDays }),
    picture: driftPicture(leading, { asOf, horizonDays: fleet.horizonDays, toLimit }),
  };
}

// A cause that explains less than this of what threatens the signal is not named.
const NAMED_SHARE = 0.3;
const SPENT_PCT = 85;

function threatOf({ causes, fits }: FittedDrift) {
  if (fits.some(({ quantity, level }) => quantity === "compensation" && level >= SPENT_PCT)) {
    return "compensation at its limit";
  }
  const [first] = causes;
  return first && first.weight >= NAMED_SHARE ? first.cause : null;
}

function factsOf(drift: FittedDrift, { pValue, horizonDays }: { pValue: number; horizonDays: number }): Fact[] {
  const { leading, chanceInHorizon, swingDb, causes } = drift;
  const { quantity, level, limit, weeks, prepared } = leading;
  const shown = (value: number) => `${inWords(quantity === "signal" ? signalPctOf(value) : value)} %`;
  return [
    { label: quantity === "signal" ? "Signal without season" : "Compensation used", value: shown(level) },
    { label: "Limit", value: shown(limit) },
    { label: "Change a month", value: `${inWords(monthlyChange(leading))} points` },
    { label: "Weeks of readings", value: `${weeks} in ${prepared.starts.length} stretches between resets` },
    { label: "Season taken from", value: sourceInWords(leading) },
    { label: "Swing with day and year", value: `${inWords(swingDb)} dB` },
    ...stepFacts(leading),
    ...causes
      .slice(0, 2)
      .map(({ cause, weight }) => ({ label: `Share of the threat by ${cause}`, value: percentInWords(weight) })),
    { label: `Chance of reaching the limit in ${horizonDays} days`, value: percentInWords(chanceInHorizon) },
    { label: "Chance of such a course in an ordinary detector", value: chanceInWords(pValue) },
  ];
}

function sourceInWords({ term }: DriftFit): string {
  return term.lagDays > 0 ? `${term.source}, ${term.lagDays} days late` : term.source;
}

function stepFacts({ prepared, quantity }: DriftFit): Fact[] {
  const { steps } = prepared;
  const last = steps.at(-1);
  if (!last) return [];
  const unit = quantity === "signal" ? "dB" : "points";
  const way = last.change > 0 ? "for the worse" : "for the better";
  return [
    { label: "Jumps without a work record", value: String(steps.length) },
    { label: "Last of them", value: `${inWords(Math.abs(last.change))} ${unit} ${way}` },
  ];
}
