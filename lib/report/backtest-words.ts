import type { CaptureMethod, JudgedKind } from "@/lib/rank/backtest/backtest-result";

/** Ways of choosing detectors, as people read them. */
export const captureMethodWords: Readonly<Record<CaptureMethod, string>> = {
  avoided_cost: "this ranking, by avoided cost",
  expected_cost: "this ranking, by expected cost",
  faults_12m: "most faults in 12 months",
  events_90d: "most events in 90 days",
  lowest_signal: "lowest signal",
  longest_since_service: "longest since service",
  random: "drawn at random",
  perfect: "perfect foresight",
};

/** Kinds of event a forecast is judged by, as people read them. */
export const judgedKindWords: Readonly<Record<JudgedKind, string>> = {
  faults: "faults",
  alarms: "unwanted alarms",
};
