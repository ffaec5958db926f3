import { stringify } from "csv-stringify/sync";
import type { Estimate } from "@/lib/kernel/interval";
import { fractionDigits, majorOf } from "@/lib/kernel/money";
import type { RankedDetector } from "@/lib/rank/result";
import type { Access } from "@/lib/records/vocabulary";
import { safeCell } from "@/lib/report/safe-cell";

/** A detector of the list as it is exported; `benefit` in minor units. */
export type ExportedDetector = {
  readonly label: string;
  readonly siteName: string;
  readonly access: Access;
  readonly pathLengthM: number;
  readonly benefit: Estimate;
  readonly result: RankedDetector;
};

/** Detectors as CSV lines, with the header line first when asked for; money in major units, safe to open in a spreadsheet. */
export function detectorsCsv(
  rows: readonly ExportedDetector[],
  { currency, header = false }: { currency: string; header?: boolean },
): string {
  const lines = rows.map((row) =>
    cellsOf(row, currency).map((cell) => (typeof cell === "string" ? safeCell(cell) : cell)),
  );
  return stringify(header ? [headerOf(currency), ...lines] : lines, { record_delimiter: "\r\n" });
}

function headerOf(currency: string): string[] {
  const inMoney = (name: string) => `${name}_${currency.toLowerCase()}`;
  return [
    "rank",
    "detector_id",
    "label",
    "site_id",
    "site",
    "access",
    "path_length_m",
    "threat",
    "findings",
    "faults_12_months",
    "unwanted_alarms_12_months",
    "latest_signal_pct",
    "test_overdue_days",
    "expected_faults",
    "expected_unwanted_alarms",
    inMoney("expected_cost"),
    inMoney("expected_cost_low"),
    inMoney("expected_cost_high"),
    "task",
    inMoney("visit_cost"),
    inMoney("net_benefit"),
    inMoney("net_benefit_low"),
    inMoney("net_benefit_high"),
  ];
}

function cellsOf({ result, benefit, ...words }: ExportedDetector, currency: string): (string | number | null)[] {
  const money = (minor: number) => majorOf(minor, currency).toFixed(fractionDigits(currency));
  const amounts = (estimate: Estimate) => [estimate.mean, estimate.low, estimate.high].map(money).map(Number);
  const { record, expected, visit } = result;
  return [
    result.rank,
    result.detectorId,
    words.label,
    result.siteId,
    words.siteName,
    words.access,
    words.pathLengthM,
    record.threat,
    result.findings.map(({ sentence }) => sentence).join(" "),
    record.faultEpisodes.length,
    record.alarmEpisodes.length,
    record.latestSignalPct,
    record.testOverdueDays,
    rounded(expected.faults.mean),
    rounded(expected.unwantedAlarms.mean),
    ...amounts(result.expectedCost),
    visit.task,
    Number(money(visit.cost)),
    ...amounts(benefit),
  ];
}

function rounded(value: number): number {
  return Number(value.toFixed(3));
}
