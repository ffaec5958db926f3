import type { Picture } from "@/lib/analyse/picture";

/** An effect with its interval; an end is null where it has no number (no upper limit), the value where it is undefined. */
export type Effect = {
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  /** What the value is, in words: "times the earlier rate", "days until the limit". */
  readonly unit: string;
};

/** One number behind a finding, as people read it. */
export type Fact = { readonly label: string; readonly value: string };

/** The outcome of a test that could be made. */
export type TestedResult = {
  readonly outcome: "tested";
  readonly pValue: number;
  readonly effect: Effect;
  /** The plain sentence a manager reads; of no more than about 200 characters. */
  readonly sentence: string;
  /** The cause that fits, in a few words written beside the beam strip ("soiling", "low sun"); null when none does. */
  readonly threat: string | null;
  /** The numbers behind the sentence. */
  readonly facts: readonly Fact[];
  readonly picture: Picture;
};

/** The answer of its own for a detector with too little data; never p = 1. */
export type TooLittleData = {
  readonly outcome: "too_little_data";
  readonly reason: string;
  /** Set where the test was held back for what it counted: such a detector still counts towards the fleet-wide limit. */
  readonly countsInFamily?: true;
};

/** What a finding kind says of one detector. */
export type TestResult = TestedResult | TooLittleData;

/** A tested result inside the fleet-wide false-discovery limit. */
export type Finding = TestedResult & {
  readonly kind: string;
  readonly qValue: number;
  /** What in the records limits it, in sentences; absent when nothing does. */
  readonly limitedBy?: readonly string[];
};
