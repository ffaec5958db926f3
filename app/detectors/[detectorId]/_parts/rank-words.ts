import type { Format } from "@/app/_parts/format";
import { counted, taskWords } from "@/app/_parts/words";
import type { DetectorRowView } from "@/lib/services/show-detectors";
import type { RunInView } from "@/lib/services/stored-result";

/** Why a detector stands where it stands in the ranking, sentence by sentence. */
export function rankWords({ row, run, format }: { row: DetectorRowView; run: RunInView; format: Format }): string[] {
  const { rank, expectedCost, visit, findings, record } = row.result;
  const { benefit } = row;
  const sentences = [
    `It stands ${format.number(rank)} of ${format.number(run.fleet.detectors)}: detectors are ordered by net benefit, the cost that the best visit avoids less what the visit costs.`,
    `Left alone it is expected to cost ${format.money(expectedCost.mean)} in ${counted(run.horizonDays, "day")}. ${taskWords[visit.task]} for ${format.money(visit.cost)} avoids ${format.money(visit.avoidedCost.mean)} of that, which leaves ${format.money(benefit.mean)}.`,
  ];
  if (benefit.low < 0 && benefit.high > 0) {
    sentences.push("The interval of the net benefit holds both gain and loss, so its place is not certain.");
  }
  if (benefit.mean <= 0) sentences.push("On its own the visit does not pay; it may when someone is on site anyway.");
  if (findings.length === 0) {
    sentences.push(
      "Nothing was found at the fleet-wide limit: what is expected rests on its own record and the fleet’s.",
    );
  }
  if ((record.testOverdueDays ?? 0) > 0) {
    sentences.push(
      `Its functional test is overdue by ${counted(record.testOverdueDays ?? 0, "day")} and is due whatever its rank.`,
    );
  }
  return sentences;
}
