import { countInWords, intervalInWords, inWords } from "@/lib/analyse/wording";

/** The question the kind answers. */
export const question = "Does this detector's alignment fail to hold?";
/** What its effect is measured in. */
export const effectUnit = "times the realignments the fleet would have needed";

/** One sentence on how often a detector had to be realigned on call-out. */
export function sentence({
  observed,
  expected,
  ratio,
  low,
  high,
  shrunk,
}: {
  observed: number;
  expected: number;
  ratio: number;
  low: number;
  high: number | null;
  shrunk: boolean;
}): string {
  const times = observed === 1 ? "once" : `${observed} times`;
  const fleet = `Realigned on call-out ${times} where the fleet's alignments would have needed ${inWords(expected)}`;
  const likely = shrunk ? "its mount gives way about " : "";
  return `${fleet}: ${likely}${inWords(ratio)} times as often (${intervalInWords(low, high)}).`;
}

/** Why there is no test: too few failed alignments. */
export function tooFew(failures: number, least: number): string {
  return `too few failed alignments to judge: ${countInWords(failures, "call-out realignment")} with a known start, ${least} are needed`;
}

/** Why there is no test: the fleet gives nothing to compare with. */
export const noReference = "the other detectors have too few failed alignments to compare with";
