import { figure, tableOf } from "@/tests/bench/calibration-page";
import { quantities, type SeedLine } from "@/tests/bench/ranking-figures";
import type { RankingSummary, Target } from "@/tests/bench/ranking-summary";

/** The ranking's figures as Markdown tables. */
export function rankingPage(
  { targets, figures, tenths }: RankingSummary,
  { lines, detectors }: { lines: readonly SeedLine[]; detectors: number },
): string {
  const missed = targets.filter(({ met }) => !met);
  return [
    `${lines.length} fleets of ${detectors} detectors. ${targets.length - missed.length} of ${targets.length} targets met.`,
    tableOf(
      ["target", "wanted", "measured", "met", "every cause known", "who knows the rates"],
      targets.map(targetRow),
    ),
    "Mean of the fleets, and the lowest and the highest of them:",
    tableOf(
      ["figure", "mean", "lowest", "highest"],
      Object.entries(figures).map(([name, mean]) => {
        const known = lines.flatMap((line) => line.figures[name] ?? []);
        return [name, figure(mean), figure(Math.min(...known)), figure(Math.max(...known))];
      }),
    ),
    "By tenth of the prediction, largest first, all fleets together: predicted over realised, and over what one who knows the rates expects.",
    tableOf(
      ["tenth", ...quantities.flatMap((name) => [`${name}: over realised`, "over expected"])],
      Array.from({ length: 10 }, (_, place) => [
        String(place + 1),
        ...quantities.flatMap((name) => {
          const { predicted = 0, expected = 0, realised = 0 } = tenths[name]?.[place] ?? {};
          return [figure(predicted / realised), figure(predicted / expected)];
        }),
      ]),
    ),
  ].join("\n\n");
}

function targetRow({ target, least, most, value, met, attainable, oracle }: Target): string[] {
  const wanted = least !== null && most !== null ? `${least} to ${most}` : least !== null ? `≥ ${least}` : `≤ ${most}`;
  return [target, wanted, figure(value), met ? "yes" : "**no**", figure(attainable), figure(oracle)];
}
