import { fleetHistory } from "@/lib/analyse/fleet-history";
import { type SignalSummary, summariseSignal } from "@/lib/analyse/signal-summary";
import { rankDetectors } from "@/lib/rank/rank";
import type { AnalysisResult } from "@/lib/rank/result";
import { defaultSettings, type Settings } from "@/lib/settings/settings";
import { type Score, scoreOf } from "@/tests/adversary/score";
import { type AdversaryFleet, type AdversaryOptions, simulateAdversary } from "@/tests/adversary/simulate";

/** The product's answer for a simulated fleet as of its moment. */
export function analyseAdversary(
  { records, series, asOf, horizonDays }: AdversaryFleet,
  settings: Settings = defaultSettings(),
): { result: AnalysisResult; summariseMs: number; analyseMs: number } {
  const began = performance.now();
  const signals = new Map<string, SignalSummary>();
  for (const [detectorId, readings] of series) {
    const summary = summariseSignal(readings, { asOf, silentAfterHours: settings.silentAfterHours });
    if (summary) signals.set(detectorId, summary);
  }
  const summarised = performance.now();
  const result = rankDetectors(fleetHistory({ records, signals, settings, asOf }), { horizonDays });
  return { result, summariseMs: summarised - began, analyseMs: performance.now() - summarised };
}

/** Figures of one seed: the scoreboard, and how long each part took in milliseconds. */
export type Measured = {
  readonly seed: string | number;
  readonly score: Score;
  readonly ms: { readonly simulate: number; readonly summarise: number; readonly analyse: number };
};

/** Simulates a fleet, analyses it and scores the answer. */
export function measureSeed(
  seed: string | number,
  { settings = defaultSettings(), ...options }: Omit<AdversaryOptions, "seed"> & { settings?: Settings } = {},
): Measured {
  const began = performance.now();
  const fleet = simulateAdversary({ seed, ...options });
  const simulate = performance.now() - began;
  const { result, summariseMs, analyseMs } = analyseAdversary(fleet, settings);
  return {
    seed,
    score: scoreOf(result, { truth: fleet.truth, settings }),
    ms: { simulate, summarise: summariseMs, analyse: analyseMs },
  };
}
