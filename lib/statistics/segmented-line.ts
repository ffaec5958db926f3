import { studentUpper } from "@/lib/statistics/distributions";
import { waves } from "@/lib/statistics/harmonic-poisson";
import { type LinearFit, leastSquares, type Prediction, predict } from "@/lib/statistics/least-squares";
import type { Series } from "@/lib/statistics/mann-kendall";

/**
 * One slope and one yearly (or other) wave for all segments, a level of its own for each. Slope per unit of time with
 * standard error and two-sided p, null when no degree of freedom is left.
 */
export type SegmentedLine = {
  readonly intercepts: readonly number[];
  readonly slope: number;
  readonly slopeSe: number | null;
  readonly cos: number;
  readonly sin: number;
  readonly pSlopeTwoSided: number | null;
  readonly residualSd: number | null;
  readonly df: number;
  readonly period: number;
  readonly fit: LinearFit;
};

/**
 * Fits y = level of the segment + slope t + c cos(2 pi t / period) + s sin(2 pi t / period) by least squares.
 *
 * Assumes independent errors of one size: feed it weekly medians, not single readings. The wave is only told from the
 * slope when the readings span about a period.
 *
 * @param segments - moments t on one common time line and values y; empty ones get no level and must be left out
 * @param period - above 0, in the unit of t
 * @returns null when there are too few readings, or they do not tell slope, wave and levels apart
 * @throws RangeError for an empty segment, unequal lengths, values that are not finite or an impossible period
 */
export function segmentedLine({
  segments,
  period,
}: {
  segments: readonly Series[];
  period: number;
}): SegmentedLine | null {
  if (!(period > 0)) throw new RangeError(`period must be above 0: ${period}`);
  const x: number[][] = [];
  const y: number[] = [];
  for (const [segment, series] of segments.entries()) {
    if (series.t.length === 0 || series.t.length !== series.y.length) {
      throw new RangeError(`segment ${segment} has ${series.t.length} moments and ${series.y.length} values`);
    }
    for (const [i, t] of series.t.entries()) {
      x.push(designRow({ segment, segments: segments.length, t, period }));
      y.push(series.y[i] ?? Number.NaN);
    }
  }
  const fit = leastSquares({ x, y });
  if (fit === null) return null;
  const count = segments.length;
  const slope = fit.coefficients[count] ?? 0;
  const slopeSe = fit.standardErrors?.[count] ?? null;
  const testable = slopeSe !== null && slopeSe > 0;
  return {
    intercepts: fit.coefficients.slice(0, count),
    slope,
    slopeSe,
    cos: fit.coefficients[count + 1] ?? 0,
    sin: fit.coefficients[count + 2] ?? 0,
    pSlopeTwoSided: testable ? Math.min(1, 2 * studentUpper(Math.abs(slope / slopeSe), fit.df)) : null,
    residualSd: fit.residualSd,
    df: fit.df,
    period,
    fit,
  };
}

/** Prediction at a moment on the last segment's level; null as `predict`, and RangeError for an impossible level. */
export function predictOnLastSegment(line: SegmentedLine, t: number, { level }: { level: number }): Prediction | null {
  const segments = line.intercepts.length;
  return predict(line.fit, designRow({ segment: segments - 1, segments, t, period: line.period }), { level });
}

/** Moment at which the last level plus slope t, without the wave, reaches a limit below it; null unless it falls. */
export function fallsToLimitAt({ intercepts, slope }: SegmentedLine, limit: number): number | null {
  const last = intercepts.at(-1);
  return last === undefined || slope >= 0 ? null : (limit - last) / slope;
}

type RowOf = { segment: number; segments: number; t: number; period: number };

function designRow({ segment, segments, t, period }: RowOf): number[] {
  const levels = new Array<number>(segments).fill(0);
  levels[segment] = 1;
  return [...levels, t, ...waves((2 * Math.PI * t) / period, 1)];
}
