import gammaln from "@stdlib/math-base-special-gammaln";
import { type LinearFit, leastSquares } from "@/lib/statistics/least-squares";

/** A fitted log-linear Poisson model; `dispersion` (Pearson chi-square / df) is null without degrees of freedom. */
export type PoissonFit = {
  readonly coefficients: readonly number[];
  readonly standardErrors: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  readonly deviance: number;
  readonly logLikelihood: number;
  readonly dispersion: number | null;
  readonly df: number;
};

const MOST_ROUNDS = 100;
const RUNAWAY = 30;

/**
 * Poisson regression with exposure, log mean = row . coefficients + log exposure, by reweighted least squares.
 *
 * @param x - one row per cell, with a column of ones for the intercept
 * @param counts - at least 0; cells without exposure must be left out before
 * @param exposure - above 0
 * @returns null when there is no event, the design is singular or the fit runs away (all events in one corner of the design)
 * @throws RangeError for unequal lengths, a negative count or an exposure of 0
 *
 * Source: McCullagh and Nelder (1989), Generalized Linear Models, ch. 2 and 6 (from memory).
 */
export function poissonRegression({
  x,
  counts,
  exposure,
}: {
  x: readonly (readonly number[])[];
  counts: readonly number[];
  exposure: readonly number[];
}): PoissonFit | null {
  checkCells(x, counts, exposure);
  if (counts.every((count) => count === 0)) return null;
  let mean = counts.map((count) => count + 0.1);
  let fit: LinearFit | null = null;
  let deviance = Infinity;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const target = mean.map((m, i) => Math.log(m / (exposure[i] ?? 1)) + ((counts[i] ?? 0) - m) / m);
    fit = leastSquares({ x, y: target, weights: mean });
    if (fit === null) return null;
    const { coefficients } = fit;
    const lines = x.map((row) => row.reduce((sum, value, j) => sum + value * (coefficients[j] ?? 0), 0));
    if (lines.some((line) => !(Math.abs(line) < 700))) return null;
    mean = lines.map((line, i) => Math.exp(line) * (exposure[i] ?? 1));
    const next = poissonDeviance(counts, mean);
    const settled = Math.abs(next - deviance) < 1e-14 * (Math.abs(next) + 0.1);
    deviance = next;
    // The last weights must belong to the last coefficients, or the standard errors lag one round behind.
    if (settled) return ranAway(fit) ? null : summary(fit, x, { counts, mean, deviance });
  }
  return null;
}

function ranAway({ coefficients }: LinearFit): boolean {
  return coefficients.slice(1).some((coefficient) => Math.abs(coefficient) > RUNAWAY);
}

type Cells = { counts: readonly number[]; mean: readonly number[]; deviance: number };

function summary(
  fit: LinearFit,
  x: readonly (readonly number[])[],
  { counts, mean, deviance }: Cells,
): PoissonFit | null {
  const weighed = leastSquares({ x, y: counts.map(() => 0), weights: mean });
  if (weighed === null) return null;
  const covariance = weighed.unscaledCovariance;
  const pearson = counts.reduce((sum, count, i) => sum + (count - (mean[i] ?? 0)) ** 2 / (mean[i] ?? 1), 0);
  const df = fit.df;
  return {
    coefficients: fit.coefficients,
    standardErrors: covariance.map((row, j) => Math.sqrt(row[j] ?? 0)),
    covariance,
    deviance,
    logLikelihood: counts.reduce((sum, y, i) => sum + y * Math.log(mean[i] ?? 1) - (mean[i] ?? 0) - gammaln(y + 1), 0),
    dispersion: df > 0 ? pearson / df : null,
    df,
  };
}

/** Deviance of counts from their Poisson means (each above 0): 2 sum (y ln(y / mean) - (y - mean)). */
export function poissonDeviance(counts: readonly number[], mean: readonly number[]): number {
  let sum = 0;
  for (const [i, y] of counts.entries()) {
    const m = mean[i] ?? 0;
    sum += (y > 0 ? y * Math.log(y / m) : 0) - (y - m);
  }
  return 2 * sum;
}

function checkCells(x: readonly unknown[], counts: readonly number[], exposure: readonly number[]): void {
  if (x.length !== counts.length || x.length !== exposure.length) {
    throw new RangeError(`${x.length} rows, ${counts.length} counts, ${exposure.length} exposures`);
  }
  for (const [i, count] of counts.entries()) {
    if (!(count >= 0 && Number.isFinite(count))) throw new RangeError(`count must be at least 0: ${count}`);
    if (!((exposure[i] ?? 0) > 0)) throw new RangeError(`exposure must be above 0: ${exposure[i]}`);
  }
}
