import { solveSymmetric } from "@/lib/statistics/linear-solve";

/** Rows of a count model: features row by row, counts, and the log of the mean each row has before any feature. */
export type CountRows = {
  readonly x: Float64Array;
  readonly columns: number;
  readonly counts: Float64Array;
  readonly offset: Float64Array;
};

/** Variance of a count around its mean m: linear m + quadratic m². */
export type CountSpread = { readonly linear: number; readonly quadratic: number };

const MOST_ROUNDS = 30;
// In standard deviations of a feature on the log scale: far below what any standard error could tell apart.
const SETTLED = 1e-3;
const LONGEST_STEP = 2;
const LARGEST_LOG = 12;

/**
 * Log-linear regression of counts drawn towards no effect at all: log mean = offset + b0 + x . b, by quasi-likelihood
 * with the given variance, less penalty/2 sum of b². Features should be standardised.
 *
 * A large penalty gives the offset back, moved by the intercept alone; the intercept has a penalty of its own, in
 * events' worth of belief in the offset.
 *
 * @param start - coefficients to begin from; 0 unless given
 * @returns b0, b1, ..., always finite; all 0 without rows
 * @throws RangeError for shapes that do not fit or a penalty that is not above 0
 * Source: McCullagh and Nelder (1989), Generalized Linear Models, ch. 9 (quasi-likelihood); Hoerl and Kennard (1970),
 * Technometrics 12, 55-67 (ridge); from memory. Cost: O(rows x columns²) a round, about 6 rounds.
 */
export function ridgeCounts(
  rows: CountRows,
  {
    penalty,
    interceptPenalty,
    spread,
    start,
  }: { penalty: number; interceptPenalty: number; spread: CountSpread; start?: Float64Array },
): Float64Array {
  checkShapes(rows);
  if (!(penalty > 0 && interceptPenalty > 0)) throw new RangeError(`penalty must be above 0: ${penalty}`);
  const size = rows.columns + 1;
  const beta = start && start.length === size ? start.slice() : new Float64Array(size);
  const penalties = Float64Array.from({ length: size }, (_, j) => (j === 0 ? interceptPenalty : penalty));
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const { score, information } = normalEquations(rows, { beta, spread, penalties });
    const step = solveSymmetric(information, score);
    const longest = step.reduce((most, one) => Math.max(most, Math.abs(one)), 0);
    if (!Number.isFinite(longest)) return new Float64Array(size);
    const scale = Math.min(1, LONGEST_STEP / longest);
    for (let j = 0; j < size; j++) beta[j] = (beta[j] ?? 0) + scale * (step[j] ?? 0);
    if (longest < SETTLED) break;
  }
  return beta;
}

/** Log mean of each row under fitted coefficients, kept within e^12 of the offset's own mean. */
export function ridgePredictions({ x, columns, offset }: Omit<CountRows, "counts">, beta: Float64Array): Float64Array {
  const out = new Float64Array(offset.length);
  for (let i = 0; i < offset.length; i++) out[i] = (offset[i] ?? 0) + lineOf(x, i * columns, { columns, beta });
  return out;
}

type Line = { readonly columns: number; readonly beta: Float64Array };

function lineOf(x: Float64Array, from: number, { columns, beta }: Line): number {
  let line = beta[0] ?? 0;
  for (let j = 0; j < columns; j++) line += (x[from + j] ?? 0) * (beta[j + 1] ?? 0);
  return Math.max(-LARGEST_LOG, Math.min(LARGEST_LOG, line));
}

type Point = { readonly beta: Float64Array; readonly spread: CountSpread; readonly penalties: Float64Array };

function normalEquations({ x, columns, counts, offset }: CountRows, { beta, spread, penalties }: Point) {
  const size = columns + 1;
  // Upper triangle, row by row.
  const flat = new Float64Array((size * (size + 1)) / 2);
  const score = Array.from({ length: size }, (_, j) => -(penalties[j] ?? 0) * (beta[j] ?? 0));
  const row = new Float64Array(size);
  row[0] = 1;
  for (let i = 0; i < counts.length; i++) {
    const mean = Math.exp((offset[i] ?? 0) + lineOf(x, i * columns, { columns, beta }));
    for (let j = 0; j < columns; j++) row[j + 1] = x[i * columns + j] ?? 0;
    const per = 1 / (spread.linear + spread.quadratic * mean);
    const residual = ((counts[i] ?? 0) - mean) * per;
    const weight = mean * per;
    let at = 0;
    for (let j = 0; j < size; j++) {
      const value = row[j] ?? 0;
      score[j] = (score[j] ?? 0) + residual * value;
      const weighed = weight * value;
      for (let k = j; k < size; k++, at++) flat[at] = (flat[at] ?? 0) + weighed * (row[k] ?? 0);
    }
  }
  const information = Array.from({ length: size }, (_, j) =>
    Array.from({ length: size }, (_, k) => {
      const [low, high] = j < k ? [j, k] : [k, j];
      return (flat[low * size - (low * (low - 1)) / 2 + high - low] ?? 0) + (j === k ? (penalties[j] ?? 0) : 0);
    }),
  );
  return { score, information };
}

function checkShapes({ x, columns, counts, offset }: CountRows): void {
  if (offset.length !== counts.length || x.length !== columns * counts.length) {
    throw new RangeError(`${x.length} features, ${offset.length} offsets for ${counts.length} counts`);
  }
}
