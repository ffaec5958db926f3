import { type Threat, threats } from "@/lib/analyse/findings/kind";

/** What a detector suffers from, as far as a task is chosen by it; `equipment` is a defect of the detector itself. */
export type Cause = Threat | "equipment" | "unknown";

/** All causes, in a fixed order. */
export const causes: readonly Cause[] = [...threats, "equipment", "unknown"];

/** Kinds of events a visit may prevent. */
export type EventKind = "fault" | "alarm";
