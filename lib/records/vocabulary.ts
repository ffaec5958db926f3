/** Forms of a beam detector: one head with a reflector, or opposed transmitter and receiver. Source: ISO 7240-12, scope. */
export const forms = ["reflective", "end_to_end"] as const;
/** Ways of reaching a detector at height. */
export const accessKinds = ["ladder", "tower", "scissor_lift", "boom_lift"] as const;
/** Panel conditions of an event. Source: EN 54-2, clauses 7 to 10 (from memory). */
export const conditions = ["fire", "fault", "disablement", "test"] as const;
/** Causes a panel gives for a fault. */
export const faultCauses = [
  "low_signal",
  "path_blocked",
  "compensation_limit",
  "power",
  "communication",
  "unknown",
] as const;
/** What a fire event turned out to be. Source: classes of BS 5839-1. */
export const verdicts = ["genuine", "unwanted", "equipment", "good_intent", "malicious", "unknown"] as const;
/** Tasks a technician does at a detector. */
export const tasks = ["clean", "realign", "filter_test", "block_test", "repair", "replace", "survey"] as const;
/** Outcome of a task. */
export const taskResults = ["pass", "fail"] as const;

/** One of {@link forms}. */
export type Form = (typeof forms)[number];
/** One of {@link accessKinds}. */
export type Access = (typeof accessKinds)[number];
/** One of {@link conditions}. */
export type Condition = (typeof conditions)[number];
/** One of {@link faultCauses}. */
export type FaultCause = (typeof faultCauses)[number];
/** One of {@link verdicts}. */
export type Verdict = (typeof verdicts)[number];
/** One of {@link tasks}. */
export type Task = (typeof tasks)[number];
/** One of {@link taskResults}. */
export type TaskResult = (typeof taskResults)[number];

/** Verdicts of a false alarm: every fire event but a genuine one and one not yet judged. */
export const falseAlarmVerdicts: readonly Verdict[] = ["unwanted", "equipment", "good_intent", "malicious"];
/** Verdicts of the detector's own false alarms, which a visit can prevent. */
export const ownFalseAlarmVerdicts: readonly Verdict[] = ["unwanted", "equipment"];
/** Fault causes that belong to the site's supply or wiring, never to one detector. */
export const siteFaultCauses: readonly FaultCause[] = ["power", "communication"];
