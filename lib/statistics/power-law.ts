import { chiSquareQuantile, normalQuantile } from "@/lib/statistics/distributions";
import { findRoot } from "@/lib/statistics/root";
import { sumOfLogs } from "@/lib/statistics/trend";

/** Events of a process watched from 0 to `end`. */
export type WatchedProcess = { readonly times: readonly number[]; readonly end: number };

/** Power law rate = lambda beta t^(beta - 1): estimates, exact limits of beta, rates at the end and on average. */
export type PowerLaw = {
  readonly betaMle: number;
  readonly betaUnbiased: number;
  readonly lambdaMle: number;
  readonly betaLow: number;
  readonly betaHigh: number;
  readonly intensityAtEnd: number;
  readonly meanIntensity: number;
};

/**
 * Fits a power-law Poisson process (Crow-AMSAA) to exact event times; beta above 1 is a rising rate.
 *
 * @param times - in (0, end], any order
 * @param end - end of the watch (time-truncated)
 * @param level - two-sided coverage of beta's exact limits
 * @returns null without events or when all lie at the end
 * @throws RangeError for a time outside (0, end] or an impossible level
 * Source: MIL-HDBK-189 (1981), Appendix C (not read; estimates checked against quoted figures).
 */
export function powerLaw({ times, end }: WatchedProcess, { level = 0.95 }: { level?: number } = {}): PowerLaw | null {
  if (!(end > 0)) throw new RangeError(`watch must end after 0: ${end}`);
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  const n = times.length;
  const logs = sumOfLogs(times.map((time) => time / end));
  if (n === 0 || logs === 0) return null;
  const beta = n / logs;
  const tail = (1 - level) / 2;
  return {
    betaMle: beta,
    betaUnbiased: ((n - 1) * beta) / n,
    lambdaMle: n / end ** beta,
    betaLow: (beta * chiSquareQuantile(tail, 2 * n)) / (2 * n),
    betaHigh: (beta * chiSquareQuantile(1 - tail, 2 * n)) / (2 * n),
    intensityAtEnd: (n * beta) / end,
    meanIntensity: n / end,
  };
}

/**
 * Mean time between events at the end of the watch by the bias-corrected power law, with approximate limits.
 *
 * @returns null for fewer than two events or when all lie at the end
 * @throws RangeError as `powerLaw`
 * Source: NIST/SEMATECH e-Handbook 8.4.5 (from memory; the limits were matched to figures quoted from it).
 */
export function meanTimeAtEnd({ times, end }: WatchedProcess, { level }: { level: number }) {
  const fit = powerLaw({ times, end }, { level });
  const n = times.length;
  if (fit === null || n < 2) return null;
  const mean = end / (n * fit.betaUnbiased);
  const z = normalQuantile((1 + level) / 2);
  const spread = (n * z * z) / 2;
  const pairs = n * (n - 1);
  const low = (mean * pairs) / (n + (z * z) / 4 + Math.sqrt(spread + z ** 4 / 16)) ** 2;
  return { mean, low, high: spread < n * n ? (mean * pairs) / (n - Math.sqrt(spread)) ** 2 : null };
}

/**
 * Cramer-von Mises distance of event times from the fitted power law, with the bias-corrected exponent; null where
 * there is no fit. Throws RangeError as `powerLaw`. Source: MIL-HDBK-189 (not read), Crow (1974), from memory.
 */
export function powerLawDistance({ times, end }: WatchedProcess): number | null {
  const fit = powerLaw({ times, end });
  if (fit === null) return null;
  const n = times.length;
  const sorted = Float64Array.from(times).sort();
  let sum = 1 / (12 * n);
  for (let i = 0; i < n; i++) sum += (((sorted[i] ?? 0) / end) ** fit.betaUnbiased - (i + 0.5) / n) ** 2;
  return sum;
}

/** Power law fitted to counts: exponent, scale, rate at the last end, expected counts and their chi-square distance. */
export type GroupedPowerLaw = {
  readonly beta: number;
  readonly lambda: number;
  readonly intensityAtEnd: number;
  readonly expectedCounts: readonly number[];
  readonly chiSquareFit: number;
};

/**
 * Fits a power-law Poisson process to counts between interval ends, by maximum likelihood.
 *
 * @param ends - rising, above 0; the first interval starts at 0
 * @param counts - one per interval
 * @returns null when the counts have no inner maximum (none, or all in one outer interval)
 * @throws RangeError for unequal lengths or ends that do not rise
 * Source: MIL-HDBK-189 (1981), grouped data (not read; estimates checked against quoted figures).
 */
export function groupedPowerLaw({
  ends,
  counts,
}: {
  ends: readonly number[];
  counts: readonly number[];
}): GroupedPowerLaw | null {
  if (ends.length !== counts.length) throw new RangeError(`${ends.length} ends for ${counts.length} counts`);
  for (const [j, end] of ends.entries())
    if (!(end > (ends[j - 1] ?? 0))) throw new RangeError(`ends must rise: ${end}`);
  const last = ends.at(-1) ?? 0;
  const n = counts.reduce((sum, count) => sum + count, 0);
  // Times in units of the last end, so that its logarithm is 0 and powers stay small.
  const score = (beta: number) =>
    counts.reduce((sum, count, j) => sum + (count === 0 ? 0 : count * groupTerm(beta, ends, j)), 0);
  const low = 1e-3;
  const high = 100;
  if (n === 0 || !(score(low) * score(high) < 0)) return null;
  const beta = findRoot(score, { low, high });
  const lambda = n / last ** beta;
  const expectedCounts = ends.map((end, j) => lambda * (end ** beta - (ends[j - 1] ?? 0) ** beta));
  const chiSquareFit = counts.reduce(
    (sum, d, j) => sum + (d - (expectedCounts[j] ?? 0)) ** 2 / (expectedCounts[j] ?? 1),
    0,
  );
  return { beta, lambda, intensityAtEnd: (n * beta) / last, expectedCounts, chiSquareFit };
}

function groupTerm(beta: number, ends: readonly number[], j: number): number {
  const last = ends.at(-1) ?? 1;
  const end = (ends[j] ?? 0) / last;
  const start = (ends[j - 1] ?? 0) / last;
  const moved = end ** beta * Math.log(end) - (start === 0 ? 0 : start ** beta * Math.log(start));
  return moved / (end ** beta - start ** beta);
}
