import type { CountOutlook } from "@/lib/analyse/forecast/detector-forecast";
import { negativeBinomialQuantile } from "@/lib/statistics/distributions";
import { countInterval } from "@/lib/statistics/overdispersed-count";

const LEVEL = 0.9;

/**
 * A count's outlook from its mean and variance: negative binomial, or Poisson where the variance is no larger.
 *
 * The limits are whole numbers; where the mean of a rare event lies above the upper one, that end is moved to the mean.
 * For sums over detectors add means and variances and come here; never add limits.
 */
export function outlookOf({ mean, variance }: { mean: number; variance: number }): CountOutlook {
  if (mean === 0) return { mean, low: 0, high: 0, variance };
  const size = variance > mean * (1 + 1e-9) ? mean ** 2 / (variance - mean) : Infinity;
  const low = negativeBinomialQuantile((1 - LEVEL) / 2, { size, mean });
  const high = negativeBinomialQuantile((1 + LEVEL) / 2, { size, mean });
  return { mean, low: Math.min(low, mean), high: Math.max(high, mean), variance };
}

/** One detector's outlook: the shortest set of whole numbers that holds `level` of the distribution, mean included. */
export function shortestOutlook(
  { mean, variance }: { mean: number; variance: number },
  { level }: { level: number },
): CountOutlook {
  if (mean === 0) return { mean, low: 0, high: 0, variance };
  const { low, high } = countInterval({ mean, variance }, { level });
  return { mean, low: Math.min(low, mean), high: Math.max(high, mean), variance };
}
