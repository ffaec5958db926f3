import { inWords } from "@/lib/analyse/wording";
import type { Estimate } from "@/lib/kernel/interval";
import { formatMoney } from "@/lib/kernel/money";
import type { AnalysisResult, RankedDetector, TaskOutcome } from "@/lib/rank/result";

/** How the reader's money is written. */
export type MoneyText = (minor: number) => string;

/** Everything that explains one detector's place, as text for a terminal; null when the result does not hold it. */
export function explanationText(
  result: AnalysisResult,
  { detectorId, asOfText }: { detectorId: string; asOfText: string },
): string | null {
  const { currency, horizonDays, fleet } = result;
  const detector = result.detectors.find((one) => one.detectorId === detectorId);
  if (!detector) return null;
  const money = (minor: number) => formatMoney({ minor, currency }, { whole: true });
  const { rank, siteId, visit, explanation, findings, tests, record } = detector;
  const lines = [
    `${detectorId} (${siteId}) as of ${asOfText}: rank ${rank} of ${fleet.detectors}.`,
    moneySentence(detector, { horizonDays, money }),
    visit.reason,
    "",
    "What moves it most against the fleet's typical detector:",
    ...indented(factSentences(detector, money)),
    "",
    visit.netBenefit > 0 ? "Why this one:" : "Why not this one:",
    ...indented(whyNot(detector, { detectors: fleet.detectors, paying: fleet.worthwhile.visits, money })),
    "",
    "The tasks side by side (cost, avoided, net alone, net with someone on site anyway):",
    ...indented(explanation.tasks.map((task) => taskLine(task, money))),
    "",
    "What was tested:",
    ...indented(
      Object.entries(tests).map(([kind, test]) => {
        if (test.outcome === "too_little_data") return `${kind}: too little data: ${test.reason}`;
        const listed = findings.some((finding) => finding.kind === kind) ? ", a finding" : "";
        return `${kind}: ${test.sentence} (p ${test.pValue.toPrecision(2)}${listed})`;
      }),
    ),
    "",
    ...(record.testOverdueDays === null ? [] : [`Its functional test is overdue by ${record.testOverdueDays} days.`]),
    "This is advice on order and money; it replaces no statutory test and no engineer's judgement.",
  ];
  return `${lines.join("\n")}\n`;
}

function indented(lines: readonly string[]): string[] {
  return (lines.length > 0 ? lines : ["nothing stands out"]).map((line) => `  ${line}`);
}

function taskLine({ task, cost, avoidedCost, netBenefit, netOnSite }: TaskOutcome, money: MoneyText): string {
  return `${task}: ${[cost, avoidedCost, netBenefit, netOnSite].map(money).join(", ")}`;
}

/** The money of one detector in a sentence: what it costs left alone, what the visit costs and avoids. */
export function moneySentence(
  { expectedCost, visit }: Pick<RankedDetector, "expectedCost" | "visit">,
  { horizonDays, money }: { horizonDays: number; money: MoneyText },
): string {
  const alone = `Left alone it is expected to cost ${money(expectedCost.mean)} in ${horizonDays} days (${range(expectedCost, money)})`;
  const { task, cost, avoidedCost, netBenefit } = visit;
  const gain = netBenefit >= 0 ? `a gain of ${money(netBenefit)}` : `a loss of ${money(-netBenefit)}`;
  return `${alone}; a visit to ${taskVerbs[task]} costs ${money(cost)} and avoids ${money(avoidedCost.mean)} of it: ${gain}.`;
}

/** What moves the net benefit, one line a fact with its size. */
export function factSentences({ explanation }: Pick<RankedDetector, "explanation">, money: MoneyText): string[] {
  return explanation.facts.map(
    ({ sentence, minor }) => `${sentence}: ${minor < 0 ? "−" : "+"}${money(Math.abs(minor))}`,
  );
}

/**
 * Why a detector is not among the visits that pay, or that it is; for any detector.
 *
 * @param fleet - how many detectors are ranked and how many visits pay
 */
export function whyNot(
  { rank, visit, explanation, record }: RankedDetector,
  { detectors, paying, money }: { detectors: number; paying: number; money: MoneyText },
): string[] {
  if (visit.netBenefit > 0) {
    return [`Its visit pays by itself; it stands ${rank} of ${paying} that do, among ${detectors} detectors.`];
  }
  return [
    `A visit for it alone does not pay: it would cost ${money(visit.cost)} and avoid ${money(visit.avoidedCost.mean)}.`,
    timesSentence(explanation.timesToPay),
    onSiteSentence(explanation.tasks, money),
    ...record.notes.map((note) => `What can be said is limited: ${note}.`),
  ];
}

function timesSentence(times: number | null): string {
  if (times === null) return "Nothing is expected that a visit could prevent.";
  return `It would pay if ${inWords(times)} times as many events were expected of it.`;
}

function onSiteSentence(tasks: readonly TaskOutcome[], money: MoneyText): string {
  const best = [...tasks].sort((a, b) => b.netOnSite - a.netOnSite)[0];
  if (best && best.netOnSite > 0) {
    return `With someone on site and up there anyway, to ${taskVerbs[best.task]} would gain ${money(best.netOnSite)}.`;
  }
  return "It would not pay even with someone on site and up there anyway.";
}

function range({ low, high }: Estimate, money: MoneyText): string {
  return `90 % interval ${money(low)} to ${money(high)}`;
}

const taskVerbs: Readonly<Record<TaskOutcome["task"], string>> = {
  clean: "clean it",
  realign: "realign it",
  survey: "survey it",
  repair: "repair it",
  replace: "replace it",
  filter_test: "test it with filters",
  block_test: "test it by blocking the path",
};
