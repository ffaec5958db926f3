import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";

/**
 * The first harmonic of each day (UTC) of temperature, or of signal where none is sent: real and imaginary part of
 * the sum of value times exp(2 pi i t / 24 h). NaN for days with too few readings.
 */
export type DailyCourse = { readonly real: Float32Array; readonly imaginary: Float32Array };

const LONGEST_STEP_MS = 3 * HOUR_MS;
const LEAST_SHARE = 0.8;
const DAY_MINUTES = 1440;
const cosines = Float64Array.from({ length: DAY_MINUTES }, (_, minute) =>
  Math.cos((2 * Math.PI * minute) / DAY_MINUTES),
);
const sines = Float64Array.from({ length: DAY_MINUTES }, (_, minute) => Math.sin((2 * Math.PI * minute) / DAY_MINUTES));

/** Daily courses of a series whose days begin at the indices `starts`; null for steps longer than three hours. */
export function dailyCourse(
  series: ReadingSeries,
  { starts, stepMs }: { starts: readonly number[]; stepMs: number },
): DailyCourse | null {
  if (stepMs > LONGEST_STEP_MS) return null;
  const values = sendsTemperature(series.temperatureC) ? series.temperatureC : series.signalPct;
  const least = (LEAST_SHARE * DAY_MS) / stepMs;
  const real = new Float32Array(starts.length).fill(Number.NaN);
  const imaginary = new Float32Array(starts.length).fill(Number.NaN);
  for (let row = 0; row < starts.length; row += 1) {
    const from = starts[row] ?? 0;
    const to = starts[row + 1] ?? series.readAt.length;
    if (to - from < least) continue;
    let count = 0;
    let sum = 0;
    let cosine = 0;
    let sine = 0;
    let valueCosine = 0;
    let valueSine = 0;
    for (let index = from; index < to; index += 1) {
      const value = values[index] ?? Number.NaN;
      if (Number.isNaN(value)) continue;
      const minute = Math.floor(((series.readAt[index] ?? 0) % DAY_MS) / MINUTE_MS);
      const c = cosines[minute] ?? 0;
      const s = sines[minute] ?? 0;
      count += 1;
      sum += value;
      cosine += c;
      sine += s;
      valueCosine += value * c;
      valueSine += value * s;
    }
    if (count < least) continue;
    // Less the day's mean, so that a lost hour leaves no wave behind.
    real[row] = (valueCosine - (sum / count) * cosine) / count;
    imaginary[row] = (valueSine - (sum / count) * sine) / count;
  }
  return { real, imaginary };
}

function sendsTemperature(temperatureC: Float64Array): boolean {
  let present = 0;
  const stride = Math.max(1, Math.floor(temperatureC.length / 20));
  let asked = 0;
  for (let index = 0; index < temperatureC.length; index += stride) {
    asked += 1;
    if (!Number.isNaN(temperatureC[index] ?? Number.NaN)) present += 1;
  }
  return present > 0.8 * asked;
}
