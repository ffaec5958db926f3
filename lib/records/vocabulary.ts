import { z } from "zod";

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

/** Schema of {@link forms}. */
export const formSchema = z.enum(forms);
/** Schema of {@link accessKinds}. */
export const accessSchema = z.enum(accessKinds);
/** Schema of {@link conditions}. */
export const conditionSchema = z.enum(conditions);
/** Schema of {@link faultCauses}. */
export const faultCauseSchema = z.enum(faultCauses);
/** Schema of {@link verdicts}. */
export const verdictSchema = z.enum(verdicts);
/** Schema of {@link tasks}. */
export const taskSchema = z.enum(tasks);
/** Schema of {@link taskResults}. */
export const taskResultSchema = z.enum(taskResults);

/** One of {@link forms}. */
export type Form = z.infer<typeof formSchema>;
/** One of {@link accessKinds}. */
export type Access = z.infer<typeof accessSchema>;
/** One of {@link conditions}. */
export type Condition = z.infer<typeof conditionSchema>;
/** One of {@link faultCauses}. */
export type FaultCause = z.infer<typeof faultCauseSchema>;
/** One of {@link verdicts}. */
export type Verdict = z.infer<typeof verdictSchema>;
/** One of {@link tasks}. */
export type Task = z.infer<typeof taskSchema>;
/** One of {@link taskResults}. */
export type TaskResult = z.infer<typeof taskResultSchema>;

/** Verdicts of a false alarm: every fire event but a genuine one and one not yet judged. */
export const falseAlarmVerdicts: readonly Verdict[] = ["unwanted", "equipment", "good_intent", "malicious"];
/** Verdicts of the detector's own false alarms, which a visit can prevent. */
export const ownFalseAlarmVerdicts: readonly Verdict[] = ["unwanted", "equipment"];
/** Fault causes that belong to the site's supply or wiring, never to one detector. */
export const siteFaultCauses: readonly FaultCause[] = ["power", "communication"];
