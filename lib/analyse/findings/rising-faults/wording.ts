import { countInWords, intervalInWords, inWords } from "@/lib/analyse/wording";

/** The question the kind answers. */
export const question = "Is this detector's fault rate going up beyond chance, season and the fleet?";
/** What its effect is measured in. */
export const effectUnit = "times the earlier fault rate";

/** One sentence on a rising (or not rising) fault rate. */
export function sentence({
  recent,
  before,
  ratio,
  low,
  high,
}: {
  recent: number;
  before: number;
  ratio: number | null;
  low: number | null;
  high: number | null;
}): string {
  const counts = `${countInWords(recent, "fault")} in the last 12 months after ${before} in all the time before`;
  if (low === null) return `${counts}: too short a time before to give a ratio.`;
  const interval = intervalInWords(low, high);
  if (ratio === null) return `${counts}: a rate without upper bound against before (${interval}).`;
  return `${counts}: ${inWords(ratio)} times the earlier rate (${interval}).`;
}

/** Why there is no test: too few fault events, each a cause that may have come back for days. */
export function tooFew(events: number, least: number): string {
  return `too few events to judge: ${countInWords(events, "fault event")}, ${least} are needed`;
}

/** Why there is no test: watched for too short a time. */
export function tooShort(days: number, least: number): string {
  return `watched for ${Math.floor(days)} days, ${least} are needed`;
}
