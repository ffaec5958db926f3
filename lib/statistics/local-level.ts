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
  /** One-step prediction error of each row over its standard deviation; 0 at the start of a stretch. */
  readonly innovations: Float64Array;
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
  if (!(ratio >= 0)) throw new RangeError(`ratio must be at least 0: ${ratio}`);
  const { y, columns, starts } = series;
  const df = y.length - starts.length - columns.length;
  if (df < 1) return null;
  const gains = filterGains(series, ratio);
  const white = [...columns, y].map((column) => whiten(column, gains));
  const right = white[columns.length];
  if (!right) return null;
  const errors = white.slice(0, columns.length).map((column) => column.errors);
  const solved = regress(errors, right.errors, { priorSd: series.priorSd, df, leastVariance });
  if (solved === null) return null;
  const { coefficients, unscaled, noiseVariance, logDeterminant } = solved;
  const lastColumns = white.slice(0, columns.length).map(({ last }) => last);
  return {
    coefficients,
    covariance: unscaled.map((row) => row.map((value) => value * noiseVariance)),
    noiseVariance,
    walkVariance: ratio * noiseVariance,
    df,
    logLikelihood: -0.5 * (df * Math.log(noiseVariance) + gains.logVariance + logDeterminant + solved.misfit),
    level: right.last - lastColumns.reduce((sum, last, index) => sum + last * (coefficients[index] ?? 0), 0),
    levelVariance: gains.lastVariance * noiseVariance,
    lastColumns,
    innovations: residualsOf(right.errors, errors, coefficients).map((one) => one / Math.sqrt(noiseVariance)),
  };
}

type Gains = {
  readonly gain: Float64Array;
  /** 0 at the start of a stretch. */
  readonly perError: Float64Array;
  readonly logVariance: number;
  readonly lastVariance: number;
};

// The gains depend on the moments alone, so one pass serves y and all columns.
function filterGains({ starts, t, noise }: LocalLevelSeries, ratio: number): Gains {
  const gain = new Float64Array(t.length);
  const perError = new Float64Array(t.length);
  let variance = 0;
  let logVariance = 0;
  let stretch = 0;
  for (let row = 0; row < t.length; row += 1) {
    const own = noise[row] ?? 1;
    if (row === starts[stretch]) {
      stretch += 1;
      gain[row] = 1;
      variance = own;
      continue;
    }
    const predicted = variance + ratio * ((t[row] ?? 0) - (t[row - 1] ?? 0));
    const total = predicted + own;
    gain[row] = predicted / total;
    perError[row] = 1 / Math.sqrt(total);
    logVariance += Math.log(total);
    variance = predicted * (1 - predicted / total);
  }
  return { gain, perError, logVariance, lastVariance: variance };
}

function whiten(column: Float64Array, { gain, perError }: Gains): { errors: Float64Array; last: number } {
  const errors = new Float64Array(column.length);
  let state = 0;
  for (let row = 0; row < column.length; row += 1) {
    const error = (column[row] ?? 0) - state;
    errors[row] = error * (perError[row] ?? 0);
    state += (gain[row] ?? 1) * error;
  }
  return { errors, last: state };
}

type Solved = {
  readonly coefficients: readonly number[];
  readonly unscaled: readonly (readonly number[])[];
  readonly noiseVariance: number;
  readonly logDeterminant: number;
  readonly misfit: number;
};

function regress(
  errors: readonly Float64Array[],
  y: Float64Array,
  { priorSd, df, leastVariance }: { priorSd: readonly number[]; df: number; leastVariance: number },
): Solved | null {
  const cross = errors.map((a) => errors.map((b) => dot(a, b)));
  const right = errors.map((a) => dot(a, y));
  const whole = dot(y, y);
  // The prior is in units of y, the cross products in units of the noise, so the noise is found in rounds.
  const rounds = priorSd.some(Number.isFinite) ? PRIOR_ROUNDS : 1;
  let noiseVariance = Math.max(leastVariance, whole / (df + errors.length));
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

function residualsOf(y: Float64Array, errors: readonly Float64Array[], coefficients: readonly number[]): Float64Array {
  const residuals = y.slice();
  for (const [j, column] of errors.entries()) {
    const b = coefficients[j] ?? 0;
    for (let row = 0; row < residuals.length; row += 1) residuals[row] = (residuals[row] ?? 0) - b * (column[row] ?? 0);
  }
  return residuals;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let index = 0; index < a.length; index += 1) sum += (a[index] ?? 0) * (b[index] ?? 0);
  return sum;
}
