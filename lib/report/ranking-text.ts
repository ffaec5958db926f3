import { formatMoney } from "@/lib/kernel/money";
import type { AnalysisResult, RankedDetector } from "@/lib/rank/result";
import { factSentences, type MoneyText, moneySentence } from "@/lib/report/explanation-text";

const SHOWN = 20;

/** The ranking for a terminal: how many visits pay, the best twenty with reasons, money and what moves it, and the cautions. */
export function rankingText(result: AnalysisResult, { asOfText }: { asOfText: string }): string {
  const { currency, horizonDays, fleet, detectors } = result;
  const money = (minor: number) => formatMoney({ minor, currency }, { whole: true });
  const { visits, netBenefit } = fleet.worthwhile;
  const head = [
    `As of ${asOfText}, the next ${horizonDays} days: ${fleet.detectors} detectors on ${fleet.sites} sites in service.`,
    `${visits} visits pay for themselves alone, together ${money(netBenefit)} net of their cost.`,
    "",
  ];
  const lines = detectors.slice(0, SHOWN).flatMap((detector) => linesOf(detector, { horizonDays, money }));
  const rest = detectors.length > SHOWN ? [`... and ${detectors.length - SHOWN} more (--format json or csv).`] : [];
  return `${[...head, ...lines, ...rest, "", caution(fleet.testsOverdue)].join("\n")}\n`;
}

function linesOf(detector: RankedDetector, { horizonDays, money }: { horizonDays: number; money: MoneyText }) {
  const { rank, detectorId, siteId, visit, findings } = detector;
  const head = `${String(rank).padStart(4)}  ${detectorId} (${siteId}): ${visit.task}, net ${money(visit.netBenefit)}, cost ${money(visit.cost)}`;
  const reasons = findings.length > 0 ? findings.map(({ sentence }) => sentence) : [visit.reason];
  const moved = factSentences(detector, money);
  const lines = [
    ...reasons,
    moneySentence(detector, { horizonDays, money }),
    ...(moved.length > 0 ? [`What moves it: ${moved.join("; ")}.`] : []),
  ];
  return [head, ...lines.map((line) => `      ${line}`)];
}

function caution(overdue: number): string {
  const tests = overdue > 0 ? `${overdue} functional tests are overdue; no ranking excuses them. ` : "";
  return `${tests}This ranking is advice on order and money. It replaces no statutory test and no engineer's judgement; agree disablement and notice before any work.`;
}
