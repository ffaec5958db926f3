import type { JudgedKind } from "@/lib/rank/backtest/backtest-result";

/** Kinds of event a forecast is judged by, in the order in which they are shown. */
export const kinds: readonly JudgedKind[] = ["faults", "alarms"];

/** The same as titles. */
export const kindTitles: Readonly<Record<JudgedKind, string>> = { faults: "Faults", alarms: "Unwanted alarms" };
