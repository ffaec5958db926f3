import { studentQuantile } from "@/lib/statistics/distributions";

/** A fitted linear model; standard errors and residual deviation are null when no degree of freedom is left. */
export type LinearFit = {
  readonly coefficients: readonly number[];
  readonly standardErrors: readonly number[] | null;
  /** (X'WX)^-1: times the residual variance it is the covariance of the coefficients. */
  readonly unscaledCovariance: readonly (readonly number[])[];
  readonly residualSumOfSquares: number;
  readonly totalSumOfSquares: number;
  readonly residualSd: number | null;
  readonly df: number;
};

/** Fitted value with the limits of a new observation and of the mean. */
export type Prediction = {
  readonly fit: number;
  readonly low: number;
  readonly high: number;
  readonly meanLow: number;
  readonly meanHigh: number;
};

// A column counts as explained by the others when less than this share of its length is left.
const DEPENDENT = 1e-11;

/**
 * Least squares by Householder reflections (QR), never by normal equations, which lose half the digits.
 *
 * @param x - one row per observation, each with the same number of columns; an intercept is a column of ones
 * @param y - shape (n)
 * @param weights - at least 0 each; 1 unless given
 * @returns null when there are fewer rows than columns or a column follows from the others
 * @throws RangeError for unequal lengths or values that are not finite
 *
 * Source: Golub and Van Loan, Matrix Computations, ch. 5 (from memory). Cost: O(rows x columns²).
 */
export function leastSquares({
  x,
  y,
  weights,
}: {
  x: readonly (readonly number[])[];
  y: readonly number[];
  weights?: readonly number[];
}): LinearFit | null {
  const n = x.length;
  const p = x[0]?.length ?? 0;
  if (y.length !== n || (weights && weights.length !== n)) throw new RangeError(`${n} rows for ${y.length} values`);
  if (n < p || p === 0) return null;
  const columns = Array.from({ length: p }, () => new Float64Array(n));
  const right = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const root = Math.sqrt(weights?.[i] ?? 1);
    const row = x[i] ?? [];
    for (let j = 0; j < p; j++) {
      const column = columns[j];
      if (column) column[i] = (row[j] ?? Number.NaN) * root;
    }
    right[i] = (y[i] ?? Number.NaN) * root;
    if (!(row.length === p && row.every(Number.isFinite) && Number.isFinite(right[i]))) {
      throw new RangeError(`row ${i} is not made of ${p} finite numbers and a value`);
    }
  }
  const total = totalSquares(y, weights);
  const diagonal = triangulate(columns, right);
  if (diagonal === null) return null;
  const inverse = invertTriangle(columns, diagonal);
  const coefficients = inverse.map((row) => row.reduce((sum, value, k) => sum + value * (right[k] ?? 0), 0));
  let residual = 0;
  for (let i = p; i < n; i++) residual += (right[i] ?? 0) ** 2;
  const df = n - p;
  const residualSd = df > 0 ? Math.sqrt(residual / df) : null;
  const unscaledCovariance = inverse.map((a) => inverse.map((b) => a.reduce((sum, v, k) => sum + v * (b[k] ?? 0), 0)));
  const standardErrors =
    residualSd === null ? null : unscaledCovariance.map((row, j) => residualSd * Math.sqrt(row[j] ?? 0));
  return {
    coefficients,
    standardErrors,
    unscaledCovariance,
    residualSumOfSquares: residual,
    totalSumOfSquares: total,
    residualSd,
    df,
  };
}

function totalSquares(y: readonly number[], weights: readonly number[] | undefined): number {
  let weight = 0;
  let mean = 0;
  for (const [i, value] of y.entries()) {
    weight += weights?.[i] ?? 1;
    mean += (weights?.[i] ?? 1) * value;
  }
  mean /= weight;
  return y.reduce((sum, value, i) => sum + (weights?.[i] ?? 1) * (value - mean) ** 2, 0);
}

// Reflects the columns into an upper triangle in place; the diagonal comes back apart, null where a column depends.
function triangulate(columns: readonly Float64Array[], right: Float64Array): number[] | null {
  const diagonal: number[] = [];
  for (const [j, column] of columns.entries()) {
    const whole = Math.sqrt(column.reduce((sum, value) => sum + value * value, 0));
    let norm = 0;
    for (let i = j; i < column.length; i++) norm += (column[i] ?? 0) ** 2;
    norm = Math.sqrt(norm);
    if (!(norm > DEPENDENT * whole)) return null;
    const head = column[j] ?? 0;
    const alpha = head > 0 ? -norm : norm;
    diagonal.push(alpha);
    column[j] = head - alpha;
    const scale = alpha * (column[j] ?? 0);
    for (const other of [...columns.slice(j + 1), right]) {
      let product = 0;
      for (let i = j; i < other.length; i++) product += (column[i] ?? 0) * (other[i] ?? 0);
      const factor = product / scale;
      for (let i = j; i < other.length; i++) other[i] = (other[i] ?? 0) + factor * (column[i] ?? 0);
    }
  }
  return diagonal;
}

function invertTriangle(columns: readonly Float64Array[], diagonal: readonly number[]): number[][] {
  const p = diagonal.length;
  const inverse = Array.from({ length: p }, () => new Array<number>(p).fill(0));
  for (let k = 0; k < p; k++) {
    for (let i = k; i >= 0; i--) {
      let rest = i === k ? 1 : 0;
      for (let j = i + 1; j <= k; j++) rest -= (columns[j]?.[i] ?? 0) * (inverse[j]?.[k] ?? 0);
      const row = inverse[i];
      if (row) row[k] = rest / (diagonal[i] ?? 1);
    }
  }
  return inverse;
}

/**
 * Fitted value at a row of the design, with t-based limits of a new observation (low, high) and of the mean.
 *
 * @param row - as long as the coefficients
 * @param level - two-sided coverage in (0, 1)
 * @returns null when no degree of freedom is left
 * @throws RangeError for a row of another length or an impossible level
 */
export function predict(fit: LinearFit, row: readonly number[], { level }: { level: number }): Prediction | null {
  if (row.length !== fit.coefficients.length)
    throw new RangeError(`row of ${row.length} for ${fit.coefficients.length}`);
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  if (fit.residualSd === null) return null;
  let value = 0;
  let leverage = 0;
  for (const [j, coefficient] of fit.coefficients.entries()) {
    const xj = row[j] ?? 0;
    value += coefficient * xj;
    for (let k = 0; k < row.length; k++) leverage += xj * (fit.unscaledCovariance[j]?.[k] ?? 0) * (row[k] ?? 0);
  }
  const spread = studentQuantile((1 + level) / 2, fit.df) * fit.residualSd;
  const single = spread * Math.sqrt(1 + leverage);
  const mean = spread * Math.sqrt(leverage);
  return { fit: value, low: value - single, high: value + single, meanLow: value - mean, meanHigh: value + mean };
}

/**
 * The x at which a straight line reaches y, with Fieller limits from the band of a new observation.
 *
 * @param fit - of two columns, ones and x
 * @returns null for a flat line; a limit is null where the band never reaches y on that side
 * @throws RangeError for a fit of another shape or an impossible level
 * Source: Fieller (1954), J. R. Statist. Soc. B 16, 175-185 (from memory).
 */
export function inversePrediction(
  fit: LinearFit,
  { y, level }: { y: number; level: number },
): { x: number; low: number | null; high: number | null } | null {
  const [intercept, slope] = fit.coefficients;
  if (intercept === undefined || slope === undefined || fit.coefficients.length !== 2) {
    throw new RangeError(`a straight line has 2 coefficients: ${fit.coefficients.length}`);
  }
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  if (slope === 0 || fit.residualSd === null) return null;
  const spread = (studentQuantile((1 + level) / 2, fit.df) * fit.residualSd) ** 2;
  const [[v00 = 0, v01 = 0] = [], [, v11 = 0] = []] = fit.unscaledCovariance;
  const distance = y - intercept;
  // (distance - slope x)² = spread (1 + v00 + 2 v01 x + v11 x²), solved for x.
  const a = slope * slope - spread * v11;
  const halfB = -(distance * slope + spread * v01);
  const c = distance * distance - spread * (1 + v00);
  const inside = halfB * halfB - a * c;
  const x = distance / slope;
  if (!(a > 0 && inside >= 0)) return { x, low: null, high: null };
  const root = Math.sqrt(inside);
  return { x, low: (-halfB - root) / a, high: (-halfB + root) / a };
}
