import type { Cause } from "@/lib/analyse/modes/cause";
import type { Span } from "@/lib/kernel/interval";

/** Events of one cause: how many are expected, or the probability that an event was one of them. */
export type CauseShare = { readonly cause: Cause; readonly value: number };

/** The cause behind most of a detector's events, how probable it is, and one to three facts behind it in plain words. */
export type ModeEvidence = { readonly cause: Cause; readonly probability: number; readonly facts: readonly string[] };

/**
 * A fleet's events of one kind taken apart by cause, as known at a moment: what each detector is expected to give by
 * cause over a time to come, and what its past events were likely caused by.
 */
export type ModeModel = {
  /** Episodes expected of a detector over a span at or after the model's moment, by cause; causes with none left out. */
  readonly expected: (detectorId: string, span: Span) => readonly CauseShare[];
  /** For each of a detector's episodes before the model's moment, oldest first: the probability of each cause, sum 1. */
  readonly causesOf: (detectorId: string) => readonly (readonly CauseShare[])[];
  /** What the detector's events before the model's moment point to; null without events. */
  readonly evidenceOf: (detectorId: string) => ModeEvidence | null;
};
