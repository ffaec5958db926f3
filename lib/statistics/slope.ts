import { normalQuantile } from "@/lib/statistics/distributions";
import { checkSeries, kendallChances, kendallVariance, type Series, tieSizes } from "@/lib/statistics/mann-kendall";
import { medianInPlace, rankInPlace } from "@/lib/statistics/order-statistics";

/**
 * Median slope of value per unit of time with Sen's limits and the pooled Mann-Kendall score. Slope and limits are
 * null when no two readings of a segment lie at different moments; p-values are one-sided.
 */
export type PooledSlope = {
  readonly slope: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly s: number;
  readonly varS: number;
  readonly z: number;
  readonly pFalling: number;
  readonly pRising: number;
  readonly pTwoSided: number;
  readonly nSlopes: number;
};

/** A pooled slope of one segment, with the median intercept that goes with it (null without a slope). */
export type TheilSenLine = PooledSlope & { readonly intercept: number | null };

/** Coverage of the limits, and whether their ranks are interpolated (usual) or rounded to whole order statistics. */
export type SlopeOptions = { readonly level?: number; readonly ranks?: "interpolated" | "rounded" };

/**
 * Theil-Sen slope and Mann-Kendall test of one series; the intercept is the median of y - slope t.
 * Arguments, answer and errors as `segmentedTheilSen` with a single segment.
 */
export function theilSen(series: Series, options: SlopeOptions = {}): TheilSenLine {
  const pooled = segmentedTheilSen({ segments: [series], ...options });
  const { slope } = pooled;
  if (slope === null) return { ...pooled, intercept: null };
  const rest = Float64Array.from(series.y, (y, i) => y - slope * (series.t[i] ?? 0));
  return { ...pooled, intercept: medianInPlace(rest) };
}

/**
 * Theil-Sen slope and Mann-Kendall test pooled over segments: no pair of readings crosses a reset.
 *
 * The slope is the median over all pairs inside a segment; S and its variance add over segments. Null hypothesis of
 * the p-values: inside each segment the values are independent and in random order.
 *
 * @param segments - each with moments t and values y of equal length; order free; may be empty
 * @param level - two-sided coverage of the limits in (0, 1), .95 unless told
 * @returns slope null and z 0 when there is no pair; all values equal: slope 0, variance 0, z 0
 * @throws RangeError for unequal lengths, values that are not finite or an impossible level
 *
 * Source: Sen (1968), J. Am. Statist. Assoc. 63, 1379-1389; Hirsch, Slack and Smith (1982), Water Resour. Res. 18,
 * 107-121; Gilbert (1987) for interpolated ranks (all from memory). Cost: O(pairs).
 */
export function segmentedTheilSen({
  segments,
  level = 0.95,
  ranks = "interpolated",
}: SlopeOptions & { segments: readonly Series[] }): PooledSlope {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  let room = 0;
  for (const segment of segments) {
    checkSeries(segment);
    room += (segment.t.length * (segment.t.length - 1)) / 2;
  }
  const slopes = new Float64Array(room);
  let nSlopes = 0;
  let s = 0;
  let varS = 0;
  for (const { t, y } of segments) {
    const filled = collectSlopes({ t, y }, slopes, nSlopes);
    nSlopes = filled.nSlopes;
    s += filled.s;
    varS += kendallVariance(t.length, tieSizes(t), tieSizes(y));
  }
  const used = slopes.subarray(0, nSlopes);
  const half = normalQuantile((1 + level) / 2) * Math.sqrt(Math.max(0, varS));
  const limits = nSlopes === 0 ? { low: null, high: null } : slopeLimits(used, half, ranks);
  return { slope: medianInPlace(used), ...limits, s, varS, ...kendallChances(s, varS), nSlopes };
}

function collectSlopes({ t, y }: Series, slopes: Float64Array, from: number): { nSlopes: number; s: number } {
  let nSlopes = from;
  let s = 0;
  for (let j = 1; j < t.length; j++) {
    const tj = t[j] ?? 0;
    const yj = y[j] ?? 0;
    for (let i = 0; i < j; i++) {
      const dt = tj - (t[i] ?? 0);
      if (dt === 0) continue;
      // Adding 0 turns a -0 of two equal readings into 0.
      const slope = (yj - (y[i] ?? 0)) / dt + 0;
      slopes[nSlopes++] = slope;
      s += slope > 0 ? 1 : slope < 0 ? -1 : 0;
    }
  }
  return { nSlopes, s };
}

function slopeLimits(slopes: Float64Array, half: number, ranks: "interpolated" | "rounded") {
  const n = slopes.length;
  if (ranks === "interpolated") {
    return { low: rankInPlace(slopes, (n - half) / 2), high: rankInPlace(slopes, (n + half) / 2 + 1) };
  }
  const low = Math.max(Math.round((n - half) / 2) - 1, 0);
  const high = Math.min(Math.round((n + half) / 2), n - 1);
  return { low: rankInPlace(slopes, low + 1), high: rankInPlace(slopes, high + 1) };
}
