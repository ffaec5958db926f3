import { stringify } from "csv-stringify/sync";
import { kindNames } from "@/lib/analyse/findings/registry";
import type { AnalysisResult, RankedDetector } from "@/lib/rank/result";
import { printed, printedMinor } from "@/lib/report/rounding";
import { safeCell } from "@/lib/report/safe-cell";

/** The ranking as CSV text with a header, one line a detector, money in minor units; safe to open in a spreadsheet. */
export function rankingCsv(result: AnalysisResult): string {
  const lines = result.detectors.map((detector) =>
    cellsOf(detector, result.currency).map((cell) => (typeof cell === "string" ? safeCell(cell) : cell)),
  );
  return stringify([header, ...lines], { record_delimiter: "\r\n" });
}

const header = [
  "rank",
  "detector_id",
  "site_id",
  "task",
  "currency",
  "cost_minor",
  "avoided_cost_minor",
  "avoided_cost_low_minor",
  "avoided_cost_high_minor",
  "net_benefit_minor",
  "expected_faults",
  "expected_faults_low",
  "expected_faults_high",
  "expected_unwanted_alarms",
  "expected_unwanted_alarms_low",
  "expected_unwanted_alarms_high",
  "findings",
  "sentences",
  ...kindNames.map((kind) => `p_${kind}`),
];

function cellsOf({ rank, detectorId, siteId, visit, expected, findings, tests }: RankedDetector, currency: string) {
  const cost = printedMinor(visit.cost);
  const avoided = printedMinor(visit.avoidedCost.mean);
  const { faults, unwantedAlarms } = expected;
  return [
    rank,
    detectorId,
    siteId,
    visit.task,
    currency,
    cost,
    avoided,
    printedMinor(visit.avoidedCost.low),
    printedMinor(visit.avoidedCost.high),
    printedMinor(avoided - cost),
    ...[faults.mean, faults.low, faults.high].map(printed),
    ...[unwantedAlarms.mean, unwantedAlarms.low, unwantedAlarms.high].map(printed),
    findings.map(({ kind }) => kind).join(" "),
    findings.map(({ sentence }) => sentence).join(" "),
    ...kindNames.map((kind) => {
      const test = tests[kind];
      return test?.outcome === "tested" ? printed(test.pValue) : null;
    }),
  ];
}
