import { chiSquareQuantile, chiSquareUpper } from "@/lib/statistics/distributions";
import { findRoot } from "@/lib/statistics/root";

/** Log-linear rate exp(a + b u) over the watch: slope with profile limits, end over start, likelihood-ratio test. */
export type LogLinearTrend = {
  readonly b: number;
  readonly low: number;
  readonly high: number;
  readonly ratioEndToStart: number;
  readonly lrt: number;
  readonly signedRoot: number;
  readonly pTwoSided: number;
};

/**
 * Fits a log-linear Poisson process to operational times by maximum likelihood; b above 0 is a rising rate.
 *
 * @param u - operational times in [0, 1], not all at 0 or all at 1
 * @param level - two-sided coverage of the profile-likelihood limits of b
 * @returns null without events or when all lie on one end (no finite slope)
 * @throws RangeError for a time outside [0, 1] or an impossible level
 * Source: Cox and Lewis (1966), The Statistical Analysis of Series of Events, ch. 3 (from memory).
 */
export function logLinearTrend(u: readonly number[], { level = 0.95 }: { level?: number } = {}): LogLinearTrend | null {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  const n = u.length;
  let sum = 0;
  for (const time of u) {
    if (!(time >= 0 && time <= 1)) throw new RangeError(`operational time outside [0, 1]: ${time}`);
    sum += time;
  }
  if (n === 0 || sum === 0 || sum === n) return null;
  const mean = sum / n;
  // The mean of the tilted uniform lies within 1/|b| of the end it is drawn to, which bounds the root.
  const reach = 2 + 2 / Math.min(mean, 1 - mean);
  const b = findRoot((x) => tiltedMean(x) - mean, { low: -reach, high: reach });
  const logLikelihood = (x: number) => n * (x * mean - logMoment(x));
  const best = logLikelihood(b);
  const drop = chiSquareQuantile(level, 1) / 2;
  const below = (x: number) => best - logLikelihood(x) - drop;
  const lrt = Math.max(0, 2 * best);
  return {
    b,
    low: findRoot(below, { low: beyond(below, b, -1), high: b }),
    high: findRoot(below, { low: b, high: beyond(below, b, 1) }),
    ratioEndToStart: Math.exp(b),
    lrt,
    signedRoot: Math.sign(b) * Math.sqrt(lrt),
    pTwoSided: chiSquareUpper(lrt, 1),
  };
}

function beyond(below: (x: number) => number, b: number, side: number): number {
  let step = 1;
  while (below(b + side * step) < 0 && step < 1e6) step *= 2;
  return b + side * step;
}

// 1 / (1 - exp(-b)) - 1 / b, and ln((exp(b) - 1) / b), by their series near 0 where both differences cancel.
function tiltedMean(b: number): number {
  return Math.abs(b) < 1e-2 ? 0.5 + b / 12 - b ** 3 / 720 + b ** 5 / 30_240 : -1 / Math.expm1(-b) - 1 / b;
}
function logMoment(b: number): number {
  if (Math.abs(b) < 1e-2) return b / 2 + b ** 2 / 24 - b ** 4 / 2880;
  return b > 0 ? b + Math.log(-Math.expm1(-b) / b) : Math.log(Math.expm1(b) / b);
}
