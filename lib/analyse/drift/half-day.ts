import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { medianInPlace, selectInPlace } from "@/lib/statistics/order-statistics";

/** The worst hour of a usual day: degrees below the day's median, and attenuation beyond the day's median. */
export type HalfDay = { readonly degreesC: number; readonly most: number };

const LEAST_SIGNAL_PCT = 0.1;

/** The worst hour of a detector's usual day, zeros where temperature or readings are missing. */
export function halfDayOf(signal: SignalSummary): HalfDay {
  const { day, attenuationDb, lowestSignalPct, temperatureC, lowestTemperatureC } = signal;
  const colder = new Float64Array(day.length);
  const deeper = new Float64Array(day.length);
  let known = 0;
  for (let row = 0; row < day.length; row += 1) {
    const below = (temperatureC[row] ?? Number.NaN) - (lowestTemperatureC[row] ?? Number.NaN);
    if (!Number.isNaN(below)) colder[known++] = below;
    const lowest = Math.max(LEAST_SIGNAL_PCT, lowestSignalPct[row] ?? 0);
    deeper[row] = Math.max(0, -10 * Math.log10(lowest / 100) - (attenuationDb[row] ?? 0));
  }
  return {
    degreesC: medianInPlace(colder.subarray(0, known)) ?? 0,
    most: deeper.length === 0 ? 0 : selectInPlace(deeper, Math.floor(0.75 * (deeper.length - 1))),
  };
}
