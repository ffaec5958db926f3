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
  siteRatio,
}: {
  recent: number;
  before: number;
  ratio: number | null;
  low: number | null;
  high: number | null;
  siteRatio: number;
}): string {
  const counts = `${countInWords(recent, "fault")} in the last 12 months after ${before} in all the time before`;
  if (low === null) return `${counts}: too short a time before to give a ratio.`;
  const interval = intervalInWords(low, high);
  const beyond = siteRatio > 1 ? ` beyond the ${inWords(siteRatio)} times of its site` : "";
  if (ratio === null) return `${counts}: a rate without upper bound against before${beyond} (${interval}).`;
  return `${counts}: ${inWords(ratio)} times the earlier rate${beyond} (${interval}).`;
}

/** One sentence on the rise of a whole site, its strongest detector left out. */
export function siteSentence({
  recent,
  before,
  detectors,
  ratio,
  low,
  high,
  siteWide,
}: {
  recent: number;
  before: number;
  detectors: number;
  ratio: number | null;
  low: number;
  high: number | null;
  siteWide: boolean;
}): string {
  const counts = `${countInWords(recent, "fault")} in the last 12 months after ${before} before, on ${countInWords(detectors, "detector")} besides the strongest`;
  const rate = ratio === null ? "a rate without upper bound" : `${inWords(ratio)} times the earlier rate`;
  const verdict = siteWide ? "Site-wide rise" : "No rise of the site as a whole";
  return `${verdict}: ${counts}, ${rate} (${intervalInWords(low, high)}).`;
}

/** Why there is no test: too few fault events, each a cause that may have come back for days. */
export function tooFew(events: number, least: number): string {
  return `too few events to judge: ${countInWords(events, "fault event")}, ${least} are needed`;
}

/** Why there is no test: watched for too short a time. */
export function tooShort(days: number, least: number): string {
  return `watched for ${Math.floor(days)} days, ${least} are needed`;
}
