import type { Condition, Verdict } from "@/lib/records/vocabulary";

/** A kind of finding as people read it: `rising_faults` is "rising faults". */
export function kindWords(kind: string): string {
  return kind.replaceAll("_", " ");
}

/** Panel conditions. */
export const conditionWords: Readonly<Record<Condition, string>> = {
  fire: "fire",
  fault: "fault",
  disablement: "disablement",
  test: "test",
};

/** What a fire event turned out to be. */
export const verdictWords: Readonly<Record<Verdict, string>> = {
  genuine: "genuine",
  unwanted: "unwanted alarm",
  equipment: "equipment false alarm",
  good_intent: "good intent",
  malicious: "malicious",
  unknown: "not yet judged",
};
