import { solveSymmetric } from "@/lib/statistics/linear-solve";

/** Cells of a log-linear model: rows without intercept side by side in one array, counts, and expected counts so far. */
export type PoissonCells = {
  readonly columns: number;
  readonly rows: Float64Array;
  readonly counts: Float64Array;
  readonly offsets: Float64Array;
  /** How many like cells each stands for. */
  readonly weights: Float64Array;
};

const ROUNDS = 25;
const LARGEST_STEP = 1;

/**
 * Coefficients (intercept first) of mean = offset · exp(b0 + row · b) by Newton's method, each slope held to its
 * `centre` by a normal prior of standard deviation `spread`; with no cells the centre itself.
 *
 * Counts may be fractions (events weighed by the probability of their cause): the score equations stay unbiased.
 */
export function penalisedPoisson(
  { columns, rows, counts, offsets, weights }: PoissonCells,
  { centre, spread }: { centre: readonly number[]; spread: number },
): number[] {
  const width = columns + 1;
  const middle = [0, ...centre];
  const b = Float64Array.from(middle);
  const precision = 1 / spread ** 2;
  const x = new Float64Array(width).fill(1);
  const flat = new Float64Array(width * width);
  for (let round = 0; round < ROUNDS; round += 1) {
    const score = middle.map((value, j) => precision * (value - (b[j] ?? 0)));
    flat.fill(0);
    for (let j = 0; j < width; j += 1) flat[j * width + j] = precision;
    for (let i = 0; i < counts.length; i += 1) {
      let line = b[0] ?? 0;
      for (let j = 1; j < width; j += 1) {
        const value = rows[i * columns + j - 1] ?? 0;
        x[j] = value;
        line += (b[j] ?? 0) * value;
      }
      const weight = weights[i] ?? 1;
      const mean = weight * (offsets[i] ?? 0) * Math.exp(Math.min(20, line));
      const rest = weight * (counts[i] ?? 0) - mean;
      for (let j = 0; j < width; j += 1) {
        const xj = x[j] ?? 0;
        score[j] = (score[j] ?? 0) + xj * rest;
        const weighed = mean * xj;
        for (let k = 0; k <= j; k += 1) flat[j * width + k] = (flat[j * width + k] ?? 0) + weighed * (x[k] ?? 0);
      }
    }
    const matrix = middle.map((_, j) => middle.map((_, k) => flat[Math.max(j, k) * width + Math.min(j, k)] ?? 0));
    const step = solveSymmetric(matrix, score);
    const largest = Math.max(...step.map(Math.abs));
    const damp = Math.min(1, LARGEST_STEP / Math.max(largest, 1e-12));
    for (let j = 0; j < width; j += 1) b[j] = (b[j] ?? 0) + damp * (step[j] ?? 0);
    if (largest < 1e-8) break;
  }
  return [...b];
}
