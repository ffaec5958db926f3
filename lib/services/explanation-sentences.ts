import { type MoneyText, moneySentence, whyNot } from "@/lib/report/explanation-text";
import type { DetectorRowView } from "@/lib/services/show-detectors";
import type { RunInView } from "@/lib/services/stored-result";

/** A detector's money in a sentence and why a visit pays or does not, with amounts as the reader writes them. */
export function explanationSentences(
  { result }: DetectorRowView,
  { run, money }: { run: RunInView; money: MoneyText },
): string[] {
  const { detectors, worthwhile } = run.fleet;
  return [
    moneySentence(result, { horizonDays: run.horizonDays, money }),
    ...whyNot(result, { detectors, paying: worthwhile.visits, money }),
  ];
}
