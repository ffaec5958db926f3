import type { TestResult, TooLittleData } from "@/lib/analyse/finding";
import type { FindingsContext } from "@/lib/analyse/findings-context";
import type { DetectorHistory } from "@/lib/analyse/history";

/** What a finding kind fulfils: a name, the question it answers, and a test of one detector. */
export type FindingKind<Name extends string = string> = {
  readonly name: Name;
  readonly question: string;
  /** What the effect of a finding is measured in. */
  readonly effectUnit: string;
  readonly test: (history: DetectorHistory, fleet: FindingsContext) => TestResult;
};

/** The answer for a detector that cannot be judged, with the reason in plain words. */
export function tooLittleData(reason: string): TooLittleData {
  return { outcome: "too_little_data", reason };
}

/** What threatens a detector, in the words written beside its beam. */
export const threats = [
  "soiling",
  "thermal movement",
  "mount that will not hold",
  "knocked out of line",
  "ageing",
  "low sun",
  "cold or steam mornings",
  "insects",
  "seasonal stock",
  "blocked path",
  "compensation at its limit",
] as const;

/** One of {@link threats}. */
export type Threat = (typeof threats)[number];
