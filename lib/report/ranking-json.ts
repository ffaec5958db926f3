import { kindNames } from "@/lib/analyse/findings/registry";
import type { Estimate } from "@/lib/kernel/interval";
import type { AnalysisResult, RankedDetector } from "@/lib/rank/result";
import { printed, printedMinor } from "@/lib/report/rounding";

/**
 * The ranking as JSON text, two spaces deep, with a line end: the same answer gives the same bytes.
 *
 * Money is in the units of the cost settings (minor units), rounded to hundredths, and netBenefit is the difference of
 * the two printed amounts. `tested` has every kind: its p-value, or null where there was too little data.
 *
 * @param asOfText - the as-of text as the caller gave it
 */
export function rankingJson(result: AnalysisResult, { asOfText }: { asOfText: string }): string {
  const { horizonDays, currency } = result;
  const detectors = result.detectors.map(detectorOf);
  return `${JSON.stringify({ asOf: asOfText, horizonDays, currency, detectors }, null, 2)}\n`;
}

function detectorOf({ detectorId, siteId, rank, findings, tests, expected, visit }: RankedDetector) {
  const cost = printedMinor(visit.cost);
  const avoidedCost = ends(visit.avoidedCost, printedMinor);
  return {
    detectorId,
    siteId,
    rank,
    findings: findings.map(({ kind, pValue, qValue, effect, sentence }) => ({
      kind,
      pValue: printed(pValue),
      qValue: printed(qValue),
      effect: orNull(effect.value),
      low: orNull(effect.low),
      high: orNull(effect.high),
      sentence,
    })),
    tested: Object.fromEntries(
      kindNames.map((kind) => {
        const test = tests[kind];
        return [kind, test?.outcome === "tested" ? printed(test.pValue) : null];
      }),
    ),
    expected: { faults: ends(expected.faults, printed), unwantedAlarms: ends(expected.unwantedAlarms, printed) },
    visit: { task: visit.task, cost, avoidedCost, netBenefit: printedMinor(avoidedCost.mean - cost) },
  };
}

function ends({ mean, low, high }: Estimate, print: (value: number) => number) {
  return { mean: print(mean), low: print(low), high: print(high) };
}

function orNull(value: number | null): number | null {
  return value === null || !Number.isFinite(value) ? null : printed(value);
}
