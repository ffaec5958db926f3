import { formatMoney } from "@/lib/kernel/money";
import {
  type BacktestResult,
  type Calibration,
  type CalibrationGroup,
  type Coverage,
  captureShares,
  judgedKinds,
  type LogScores,
  type MethodCapture,
} from "@/lib/rank/backtest/backtest-result";
import { captureMethodWords, judgedKindWords } from "@/lib/report/backtest-words";

const WORDS_WIDTH = 32;
const CELL_WIDTH = 9;

/** A backtest for a terminal: captured shares by method, then calibration, coverage and log scores of each kind. */
export function backtestText(result: BacktestResult): string {
  const { origins, horizonDays, currency, capture, captureUnvisited } = result;
  const money = (minor: number) => formatMoney({ minor, currency }, { whole: true });
  const followed = origins.reduce((sum, { realisedCost }) => sum + realisedCost, 0);
  const lines = [
    `${origins.length} ranking${origins.length === 1 ? "" : "s"} made as of ${dayOf(origins[0]?.asOf)} to ${dayOf(origins.at(-1)?.asOf)}, each against the ${horizonDays} days after it.`,
    `They rest on ${result.events.faults} own fault episodes and ${result.events.alarms} own unwanted alarms; over all horizons ${money(followed)} followed.`,
    "",
    "Share of the cost that followed held by the first detectors, by how they were chosen:",
    ...captureTable(capture),
    "",
    "The same without detectors that planned work visited within the horizon:",
    ...captureTable(captureUnvisited),
    "",
    ...judgedKinds.flatMap((kind) => [
      `Forecast of ${judgedKindWords[kind]}:`,
      ...calibrationLines(result.calibration[kind]),
      ...scoreLines(result.scores[kind]),
      "",
    ]),
    "Cost that followed is not cost avoided: a visit prevents a part of it, and only of causes it can meet.",
  ];
  return `${lines.join("\n")}\n`;
}

function captureTable(capture: readonly MethodCapture[]): string[] {
  const head = `${"".padEnd(WORDS_WIDTH)}${captureShares.map((share) => cell(percent(share))).join("")}`;
  return [
    head,
    ...capture.map(
      ({ method, points }) =>
        `${captureMethodWords[method].padEnd(WORDS_WIDTH)}${points.map(({ held }) => cell(held === null ? "-" : percent(held))).join("")}`,
    ),
  ];
}

function calibrationLines({ overall, groups, coverage }: Calibration): string[] {
  return [
    `  all      ${calibrationWords(overall)}`,
    ...groups.map((group) => `  tenth ${String(group.group).padStart(2)} ${calibrationWords(group)}`),
    `  90 % intervals held what came in ${coverageWords(coverage)}`,
  ];
}

function calibrationWords({ predicted, realised, ratio }: CalibrationGroup): string {
  const times = ratio === null ? "" : `, ${fixed(ratio.mean)} times (${fixed(ratio.low)} to ${fixed(ratio.high)})`;
  return `${predicted.toFixed(1).padStart(8)} predicted, ${String(realised).padStart(5)} came${times}`;
}

function coverageWords({ inside, of }: Coverage): string {
  return of === 0 ? "no horizon that could be asked" : `${percent(inside / of)} of ${of}`;
}

function scoreLines(scores: LogScores | null): string[] {
  if (scores === null) return [];
  const { ours, oursAsPoisson, pooledRate, ownRate, lastYear } = scores;
  return [
    `  log score, lower is better: ours ${score(ours)} (its mean alone ${score(oursAsPoisson)}), fleet's rate ${score(pooledRate)}, own rate of 12 months ${score(ownRate)}, last year's count ${score(lastYear)}`,
  ];
}

function cell(text: string): string {
  return text.padStart(CELL_WIDTH);
}

function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}

function fixed(value: number): string {
  return value.toFixed(2);
}

function score(value: number): string {
  return value.toFixed(4);
}

function dayOf(at: number | undefined): string {
  return at === undefined ? "none" : new Date(at).toISOString().slice(0, 10);
}
