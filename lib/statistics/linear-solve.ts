/**
 * Solves A x = b for a symmetric, positive semi-definite A by Cholesky factors; a direction without variance gets 0.
 *
 * @param matrix - shape (n, n), left unchanged
 * @param right - shape (n)
 * @throws RangeError when the shapes differ
 */
export function solveSymmetric(matrix: readonly (readonly number[])[], right: readonly number[]): number[] {
  const n = right.length;
  if (matrix.length !== n) throw new RangeError(`matrix of ${matrix.length} rows for ${n} values`);
  const factor = new Float64Array(n * n);
  const at = (i: number, j: number) => factor[i * n + j] ?? 0;
  for (let j = 0; j < n; j++) {
    const diagonal = matrix[j]?.[j] ?? 0;
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= at(j, k) ** 2;
    const root = pivot > 1e-12 * diagonal ? Math.sqrt(pivot) : 0;
    factor[j * n + j] = root;
    for (let i = j + 1; i < n && root > 0; i++) {
      let rest = matrix[i]?.[j] ?? 0;
      for (let k = 0; k < j; k++) rest -= at(i, k) * at(j, k);
      factor[i * n + j] = rest / root;
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = 0; i < n; i++) {
    let rest = right[i] ?? 0;
    for (let k = 0; k < i; k++) rest -= at(i, k) * (x[k] ?? 0);
    x[i] = at(i, i) > 0 ? rest / at(i, i) : 0;
  }
  for (let i = n - 1; i >= 0; i--) {
    let rest = x[i] ?? 0;
    for (let k = i + 1; k < n; k++) rest -= at(k, i) * (x[k] ?? 0);
    x[i] = at(i, i) > 0 ? rest / at(i, i) : 0;
  }
  return x;
}
