import type { DetectorForecast } from "@/lib/analyse/forecast/detector-forecast";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";

/** A part of a detector's expected events with the cause that is likely behind it, and how sure that is (0 to 1). */
export type FailureMode = {
  readonly kind: EventKind;
  /** Events expected over the horizon without a visit, and the variance of their number. */
  readonly mean: number;
  readonly variance: number;
  readonly cause: Cause;
  readonly certainty: number;
};

/** Failure modes of one detector: its expected events by kind and by what is likely behind them. */
export function failureModes({ modes }: DetectorForecast): FailureMode[] {
  return modes.map((mode) => ({ ...mode, certainty: 1 }));
}
