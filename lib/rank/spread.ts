import type { Estimate } from "@/lib/kernel/interval";
import { gammaQuantile } from "@/lib/statistics/distributions";

/**
 * Estimate of an amount that cannot be negative from its mean and variance: ends of a 90 % interval of the gamma
 * distribution with these moments. An end on the wrong side of the mean (a rare, large amount) is moved to it.
 */
export function spreadAround({ mean, variance }: { mean: number; variance: number }): Estimate {
  if (!(mean > 0) || !(variance > 0)) return { mean, low: mean, high: mean };
  const shape = mean ** 2 / variance;
  // Far below one event the quantile underflows; its lower end is 0 long before.
  const low = shape < 0.02 ? 0 : mean * gammaQuantile(0.05, { shape, rate: shape });
  const high = shape < 0.02 ? mean : mean * gammaQuantile(0.95, { shape, rate: shape });
  return { mean, low: Math.min(low, mean), high: Math.max(high, mean) };
}
