/** Inverse of a symmetric matrix and the logarithm of its determinant. */
export type SymmetricInverse = { readonly inverse: number[][]; readonly logDeterminant: number };

// A pivot below this share of its diagonal leaves no digits to trust.
const DEPENDENT = 1e-10;

/**
 * Inverse of a symmetric positive definite matrix by Cholesky factors; null when it is not clearly positive definite.
 *
 * @param matrix - shape (n, n), left unchanged; empty: an empty inverse with determinant 1
 * Source: Golub and Van Loan, Matrix Computations, ch. 4 (from memory). Cost: O(n³).
 */
export function invertSymmetric(matrix: readonly (readonly number[])[]): SymmetricInverse | null {
  const n = matrix.length;
  const factor = new Float64Array(n * n);
  const at = (i: number, j: number) => factor[i * n + j] ?? 0;
  let logDeterminant = 0;
  for (let j = 0; j < n; j += 1) {
    const diagonal = matrix[j]?.[j] ?? 0;
    let pivot = diagonal;
    for (let k = 0; k < j; k += 1) pivot -= at(j, k) ** 2;
    if (!(pivot > DEPENDENT * diagonal)) return null;
    const root = Math.sqrt(pivot);
    logDeterminant += Math.log(pivot);
    factor[j * n + j] = root;
    for (let i = j + 1; i < n; i += 1) {
      let rest = matrix[i]?.[j] ?? 0;
      for (let k = 0; k < j; k += 1) rest -= at(i, k) * at(j, k);
      factor[i * n + j] = rest / root;
    }
  }
  const lower = invertLower(at, n);
  const inverse = Array.from({ length: n }, (_, i) =>
    Array.from({ length: n }, (_, j) => {
      let sum = 0;
      for (let k = Math.max(i, j); k < n; k += 1) sum += (lower[k]?.[i] ?? 0) * (lower[k]?.[j] ?? 0);
      return sum;
    }),
  );
  return { inverse, logDeterminant };
}

function invertLower(at: (i: number, j: number) => number, n: number): number[][] {
  const inverse = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let j = 0; j < n; j += 1) {
    for (let i = j; i < n; i += 1) {
      let rest = i === j ? 1 : 0;
      for (let k = j; k < i; k += 1) rest -= at(i, k) * (inverse[k]?.[j] ?? 0);
      const row = inverse[i];
      if (row) row[j] = rest / at(i, i);
    }
  }
  return inverse;
}
