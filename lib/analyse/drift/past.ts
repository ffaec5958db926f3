import { rowsBefore } from "@/lib/analyse/drift/recent-weeks";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { DAY_MS, signalPctOf } from "@/lib/kernel/units";

/**
 * What was known of a detector's signal and work at an earlier moment: whole days of readings and work before it.
 * Events are left as they are, for nothing that reads the signal looks at them. Null without readings before it.
 */
export function signalHistoryAt(history: DetectorHistory, at: number): DetectorHistory | null {
  const { signal, work } = history;
  const rows = signal === null ? 0 : rowsBefore(signal, at);
  if (signal === null || rows === 0) return null;
  return {
    ...history,
    asOf: at,
    work: work.filter(({ doneAt }) => doneAt < at),
    signal: firstRows(signal, { rows, at }),
  };
}

function firstRows(signal: SignalSummary, { rows, at }: { rows: number; at: number }): SignalSummary {
  const lastDay = signal.day[rows - 1] ?? 0;
  return {
    ...signal,
    day: signal.day.subarray(0, rows),
    attenuationDb: signal.attenuationDb.subarray(0, rows),
    lowestSignalPct: signal.lowestSignalPct.subarray(0, rows),
    highestSignalPct: signal.highestSignalPct.subarray(0, rows),
    compensationPct: signal.compensationPct.subarray(0, rows),
    temperatureC: signal.temperatureC.subarray(0, rows),
    lowestTemperatureC: signal.lowestTemperatureC.subarray(0, rows),
    latestReadAt: Math.min(at, (lastDay + 1) * DAY_MS) - 1,
    latestSignalPct: signalPctOf(signal.attenuationDb[rows - 1] ?? 0),
    presence: signal.presence
      .filter(({ startAt }) => startAt < at)
      .map(({ startAt, endAt }) => ({ startAt, endAt: Math.min(endAt, at) })),
  };
}
