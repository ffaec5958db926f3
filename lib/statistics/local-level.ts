import { invertSymmetric } from "@/lib/statistics/symmetric-inverse";

/**
 * Values in order of time with what explains them, in stretches that each have a level of their own.
 *
 * `starts` are the rows at which a stretch begins, the first 0; `noise` is the variance of each row's own error against
 * the usual one (1 = usual); `columns` hold one explaining variable each. `prior` draws a coefficient to 0 with a
 * standard deviation, in units of y over x; Infinity leaves it free.
 */
export type LocalLevelSeries = {
  readonly starts: readonly number[];
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly noise: Float64Array;
  readonly columns: readonly Float64Array[];
  readonly priorSd: readonly number[];
};

/** A fit at one ratio of the walk of the level to the noise; all variances in units of y². */
export type LocalLevelFit = {
  readonly coefficients: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  /** Variance of a usual row's own error, and of the walk of the level over one unit of t. */
  readonly noiseVariance: number;
  readonly walkVariance: number;
  readonly df: number;
  /** Restricted log-likelihood, up to a constant that is the same at every ratio. */
  readonly logLikelihood: number;
  /** Level at the last row with its variance given the coefficients, and what the columns come to by the same filter. */
  readonly level: number;
  readonly levelVariance: number;
  readonly lastColumns: readonly number[];
};

/**
 * Regression whose errors are a wandering level and noise: y = level + x b + e, the level a random walk that starts
 * anew in each stretch.
 *
 * Exact generalised least squares: the Kalman filter with a level unknown at each start turns y and every column into
 * independent errors of one size, which are then regressed on each other.
 *
 * @param ratio - variance of the walk over one unit of t against the variance of the noise, at least 0
 * @param leastVariance - floor of the noise variance, such as that of the reading's resolution
 * @returns null when no degree of freedom is left or the columns do not tell their coefficients apart
 *
 * Assumes errors near normal. Source: Harvey (1989), Forecasting, Structural Time Series Models and the Kalman Filter,
 * sections 3.4 and 4.5 (from memory). Cost: O(rows x columns²).
 */
export function fitLocalLevel(
  series: LocalLevelSeries,
  { ratio, leastVariance }: { ratio: number; leastVariance: number },
): LocalLevelFit | null {
  const found = solve(series, { ratio, leastVariance });
  if (found === null) return null;
  const { solved, sums, df } = found;
  const { coefficients, unscaled, noiseVariance } = solved;
  const width = coefficients.length;
  const lastColumns = Array.from(sums.last.subarray(0, width));
  return {
    coefficients,
    covariance: unscaled.map((row) => row.map((value) => value * noiseVariance)),
    noiseVariance,
    walkVariance: ratio * noiseVariance,
    df,
    logLikelihood: logLikelihoodOf(found),
    level: (sums.last[width] ?? 0) - lastColumns.reduce((sum, last, j) => sum + last * (coefficients[j] ?? 0), 0),
    levelVariance: sums.lastVariance * noiseVariance,
    lastColumns,
  };
}

/**
 * Restricted log-likelihood of a ratio, as in `fitLocalLevel`, without the rest of the fit; -Infinity where there is
 * no fit.
 */
export function localLevelLikelihood(
  series: LocalLevelSeries,
  options: { ratio: number; leastVariance: number },
): number {
  const found = solve(series, options);
  return found === null ? -Infinity : logLikelihoodOf(found);
}

/** One-step prediction error of each row of a fit over its standard deviation; 0 at the start of a stretch. */
export function innovationsOf(series: LocalLevelSeries, fit: LocalLevelFit): Float64Array {
  const { coefficients, noiseVariance, walkVariance } = fit;
  const rest = series.y.slice();
  for (const [j, column] of series.columns.entries()) {
    const b = coefficients[j] ?? 0;
    for (let row = 0; row < rest.length; row += 1) rest[row] = (rest[row] ?? 0) - b * (column[row] ?? 0);
  }
  const ofY = new Float64Array(rest.length);
  whitenedSums({ ...series, y: rest, columns: [] }, { ratio: walkVariance / noiseVariance, ofY });
  const scale = 1 / Math.sqrt(noiseVariance);
  return ofY.map((error) => error * scale);
}

type Found = { readonly solved: Solved; readonly sums: Sums; readonly df: number };

function solve(
  series: LocalLevelSeries,
  { ratio, leastVariance }: { ratio: number; leastVariance: number },
): Found | null {
  if (!(ratio >= 0)) throw new RangeError(`ratio must be at least 0: ${ratio}`);
  const { y, columns, starts, priorSd } = series;
  const df = y.length - starts.length - columns.length;
  if (df < 1) return null;
  const sums = whitenedSums(series, { ratio });
  const solved = regress(sums, { width: columns.length, priorSd, df, leastVariance });
  return solved === null ? null : { solved, sums, df };
}

function logLikelihoodOf({ solved, sums, df }: Found): number {
  const { noiseVariance, logDeterminant, misfit } = solved;
  return -0.5 * (df * Math.log(noiseVariance) + sums.logVariance + logDeterminant + misfit);
}

/** Cross products of the whitened columns and, last, y (row-major, lower triangle), and what each filter ends at. */
type Sums = {
  readonly cross: Float64Array;
  readonly last: Float64Array;
  readonly logVariance: number;
  readonly lastVariance: number;
};

// One pass filters y and all columns, for the gains depend on the moments alone; no column is kept.
function whitenedSums(
  { starts, t, noise, y, columns }: LocalLevelSeries,
  { ratio, ofY = null }: { ratio: number; ofY?: Float64Array | null },
): Sums {
  const size = columns.length + 1;
  const cross = new Float64Array(size * size);
  const last = new Float64Array(size);
  const errors = new Float64Array(size);
  let variance = 0;
  let logVariance = 0;
  // A product of variances is taken to its logarithm before it leaves what a number holds.
  let product = 1;
  let stretch = 0;
  for (let row = 0; row < y.length; row += 1) {
    const own = noise[row] ?? 1;
    const starting = row === starts[stretch];
    const predicted = starting ? 0 : variance + ratio * ((t[row] ?? 0) - (t[row - 1] ?? 0));
    const total = predicted + own;
    const gain = starting ? 1 : predicted / total;
    const perError = starting ? 0 : 1 / Math.sqrt(total);
    variance = starting ? own : predicted * (1 - gain);
    for (let i = 0; i < size; i += 1) {
      const error = ((columns[i] ?? y)[row] ?? 0) - (last[i] ?? 0);
      last[i] = (last[i] ?? 0) + gain * error;
      errors[i] = error * perError;
    }
    if (starting) {
      stretch += 1;
      continue;
    }
    if (ofY) ofY[row] = errors[size - 1] ?? 0;
    product *= total;
    if (product > 1e100 || product < 1e-100) {
      logVariance += Math.log(product);
      product = 1;
    }
    for (let i = 0; i < size; i += 1) {
      for (let j = 0; j <= i; j += 1) {
        cross[i * size + j] = (cross[i * size + j] ?? 0) + (errors[i] ?? 0) * (errors[j] ?? 0);
      }
    }
  }
  return { cross, last, logVariance: logVariance + Math.log(product), lastVariance: variance };
}

type Solved = {
  readonly coefficients: readonly number[];
  readonly unscaled: readonly (readonly number[])[];
  readonly noiseVariance: number;
  readonly logDeterminant: number;
  readonly misfit: number;
};

function regress(
  { cross: sums }: Sums,
  {
    width,
    priorSd,
    df,
    leastVariance,
  }: { width: number; priorSd: readonly number[]; df: number; leastVariance: number },
): Solved | null {
  const at = (i: number, j: number) => sums[Math.max(i, j) * (width + 1) + Math.min(i, j)] ?? 0;
  const places = Array.from({ length: width }, (_, i) => i);
  const cross = places.map((i) => places.map((j) => at(i, j)));
  const right = places.map((i) => at(width, i));
  const whole = at(width, width);
  // The prior is in units of y, the cross products in units of the noise, so the noise is found in rounds.
  const rounds = priorSd.some(Number.isFinite) ? PRIOR_ROUNDS : 1;
  let noiseVariance = Math.max(leastVariance, whole / (df + width));
  for (let round = 1; ; round += 1) {
    const posterior = cross.map((row, i) =>
      row.map((value, j) => value + (i === j ? noiseVariance / (priorSd[i] ?? Infinity) ** 2 : 0)),
    );
    const inverted = invertSymmetric(posterior);
    if (inverted === null) return null;
    const coefficients = inverted.inverse.map((row) => row.reduce((sum, v, j) => sum + v * (right[j] ?? 0), 0));
    const fitted = coefficients.reduce((sum, b, j) => {
      const explained = coefficients.reduce((inner, other, k) => inner + other * (cross[j]?.[k] ?? 0), 0);
      return sum + b * (2 * (right[j] ?? 0) - explained);
    }, 0);
    const squares = Math.max(0, whole - fitted);
    noiseVariance = Math.max(leastVariance, squares / df);
    if (round < rounds) continue;
    const { logDeterminant, inverse } = inverted;
    return { coefficients, unscaled: inverse, noiseVariance, logDeterminant, misfit: squares / noiseVariance };
  }
}

const PRIOR_ROUNDS = 3;
