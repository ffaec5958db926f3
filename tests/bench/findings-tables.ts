import { plantedKinds } from "@/tests/adversary/truth";
import { perCent, tableOf } from "@/tests/bench/calibration-page";
import type { FindingsSummary } from "@/tests/bench/findings-summary";
import type { Proportion } from "@/tests/bench/proportion";

type Quiet = FindingsSummary["quiet"];
type PlantedPart = FindingsSummary["planted"]["adversary"];

/** The findings' figures as Markdown tables. */
export function findingsTables({ quiet, planted }: FindingsSummary, { detectors }: { detectors: number }): string {
  const withAny = quiet.withAnyWrong;
  return [
    `Quiet fleets: ${quiet.fleets} of ${detectors} detectors. Fleets with a wrong finding of any kind: ${spread(withAny)}.`,
    quietTable(quiet.kinds),
    "Of these the harsh simulator's:",
    quietTable(quiet.adversary),
    "and the simple simulator's:",
    quietTable(quiet.simple),
    `Planted fleets of the harsh simulator (${planted.adversary.rising_faults.fleets}):`,
    plantedTable(planted.adversary),
    `Planted fleets of the simple simulator (${planted.simple.rising_faults.fleets}, each with one kind):`,
    plantedTable(planted.simple),
  ].join("\n\n");
}

function quietTable(kinds: Quiet["kinds"]): string {
  const head = ["kind", "fleets with a wrong finding", "exact 95 % interval", "wrongly listed", "tested"];
  const sizes = ["p ≤ .05 of tested", ".01", ".001", "family", "p ≤ .05 of family", ".01", ".001"];
  return tableOf(
    [...head, ...sizes],
    plantedKinds.map((kind) => {
      const { fleetsWithWrong, wrong, wrongOfDetectors, tested, family, ...size } = kinds[kind];
      const shares = [size.at05, size.at01, size.at001].map((share) => perCent(share, 2));
      const ofFamily = [size.at05OfFamily, size.at01OfFamily, size.at001OfFamily].map((share) => perCent(share, 2));
      return [
        `\`${kind}\``,
        `${fleetsWithWrong.count} of ${fleetsWithWrong.of} (${perCent(fleetsWithWrong.share)})`,
        `${perCent(fleetsWithWrong.low)} to ${perCent(fleetsWithWrong.high)}`,
        `${wrong} (${perCent(wrongOfDetectors, 3)} of detectors)`,
        String(tested),
        ...shares,
        String(family),
        ...ofFamily,
      ];
    }),
  );
}

function plantedTable(kinds: PlantedPart): string {
  return tableOf(
    ["kind", "listed", "wrong", "false share", "mean of fleets", "recall of the strong", "of the mild"],
    plantedKinds.map((kind) => {
      const { listed, wrong, falseShare, meanFalseShareOfFleets, strong, mild } = kinds[kind];
      return [
        `\`${kind}\``,
        String(listed),
        String(wrong),
        perCent(falseShare),
        perCent(meanFalseShareOfFleets),
        spread(strong),
        spread(mild),
      ];
    }),
  );
}

function spread({ count, of, share, low, high }: Proportion): string {
  return share === null ? "-" : `${count} of ${of}, ${perCent(share)} (${perCent(low)} to ${perCent(high)})`;
}
