import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** The worst hour of a usual day: degrees below the day's median, and attenuation beyond the day's median. */
export type HalfDay = { readonly degreesC: number; readonly most: number };

const LEAST_SIGNAL_PCT = 0.1;

/** The worst hour of a detector's usual day, zeros where temperature or readings are missing. */
export function halfDayOf(signal: SignalSummary): HalfDay {
  const colder = signal.temperatureC
    .map((median, row) => median - (signal.lowestTemperatureC[row] ?? Number.NaN))
    .filter((value) => !Number.isNaN(value));
  const deeper = signal.attenuationDb.map((median, row) => {
    const lowest = Math.max(LEAST_SIGNAL_PCT, signal.lowestSignalPct[row] ?? 0);
    return Math.max(0, -10 * Math.log10(lowest / 100) - median);
  });
  deeper.sort();
  return { degreesC: medianInPlace(colder) ?? 0, most: deeper[Math.floor(0.75 * (deeper.length - 1))] ?? 0 };
}
