import { normalCdf } from "@/lib/statistics/distributions";

/** A series: moments and values of equal length, in any order. */
export type Series = { readonly t: readonly number[]; readonly y: readonly number[] };

/** Mann-Kendall score with its variance, the continuity-corrected z, normal chances, and the exact one if untied. */
export type MannKendall = {
  readonly n: number;
  readonly s: number;
  readonly varS: number;
  readonly z: number;
  readonly pFalling: number;
  readonly pRising: number;
  readonly pTwoSided: number;
  readonly pTwoSidedExact: number | null;
  readonly tauB: number | null;
};

const LARGEST_EXACT = 50;

/**
 * Mann-Kendall test of a monotone trend.
 *
 * Null hypothesis: values independent and in random order. Ties in t and y are in the variance. Not for autocorrelated
 * readings (use weekly medians) nor for counts that are mostly zero.
 *
 * @returns pFalling and pRising one-sided with continuity correction; all values tied: z 0, tauB null; the exact
 * chance is given below 50 untied values, null otherwise
 * @throws RangeError when t and y differ in length or hold something else than finite numbers
 * Source: Mann (1945), Econometrica 13, 245-259; Kendall (1975), Rank Correlation Methods (from memory). Cost: O(n²).
 */
export function mannKendall({ t, y }: Series): MannKendall {
  checkSeries({ t, y });
  const n = t.length;
  let s = 0;
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      s += Math.sign((y[j] ?? 0) - (y[i] ?? 0)) * Math.sign((t[j] ?? 0) - (t[i] ?? 0));
    }
  }
  const tiesT = tieSizes(t);
  const tiesY = tieSizes(y);
  const varS = kendallVariance(n, tiesT, tiesY);
  const pairs = (n * (n - 1)) / 2;
  const comparable = (pairs - tiedPairs(tiesT)) * (pairs - tiedPairs(tiesY));
  const untied = tiesT.length === 0 && tiesY.length === 0 && n < LARGEST_EXACT && n > 1;
  return {
    n,
    s,
    varS,
    ...kendallChances(s, varS),
    pTwoSidedExact: untied ? exactTwoSided(s, n) : null,
    tauB: comparable > 0 ? s / Math.sqrt(comparable) : null,
  };
}

/** z with continuity correction and its normal chances; a variance of 0 gives z 0, one-sided .5 and two-sided 1. */
export function kendallChances(s: number, varS: number) {
  const z = varS > 0 ? (s - Math.sign(s)) / Math.sqrt(varS) : 0;
  return { z, pFalling: normalCdf(z), pRising: normalCdf(-z), pTwoSided: Math.min(1, 2 * normalCdf(-Math.abs(z))) };
}

/** Variance of Kendall's S for n pairs under independence, given the sizes of the tied groups in each variable. */
export function kendallVariance(n: number, tiesT: readonly number[], tiesY: readonly number[]): number {
  if (n < 2) return 0;
  const spread = (k: number) => k * (k - 1) * (2 * k + 5);
  const sum = (ties: readonly number[], f: (k: number) => number) => ties.reduce((total, k) => total + f(k), 0);
  const pairs = (k: number) => k * (k - 1);
  const triples = (k: number) => k * (k - 1) * (k - 2);
  const plain = (spread(n) - sum(tiesT, spread) - sum(tiesY, spread)) / 18;
  const joint = (sum(tiesT, pairs) * sum(tiesY, pairs)) / (2 * pairs(n));
  const third = n > 2 ? (sum(tiesT, triples) * sum(tiesY, triples)) / (9 * triples(n)) : 0;
  return plain + joint + third;
}

/** Sizes of the groups of equal values that hold more than one. */
export function tieSizes(values: readonly number[]): number[] {
  const sorted = Float64Array.from(values).sort();
  const sizes: number[] = [];
  let run = 1;
  for (let i = 1; i <= sorted.length; i++) {
    if (i < sorted.length && sorted[i] === sorted[i - 1]) run++;
    else {
      if (run > 1) sizes.push(run);
      run = 1;
    }
  }
  return sizes;
}

/** Throws RangeError when t and y differ in length or hold something else than finite numbers. */
export function checkSeries({ t, y }: Series): void {
  if (t.length !== y.length) throw new RangeError(`${t.length} moments for ${y.length} values`);
  for (let i = 0; i < t.length; i++) {
    if (!(Number.isFinite(t[i]) && Number.isFinite(y[i]))) throw new RangeError(`not finite: ${t[i]}, ${y[i]}`);
  }
}

/**
 * P(at most `discordant` of the n (n - 1) / 2 pairs are out of order) in a random order of n untied values.
 * Throws RangeError for an impossible n. Cost: O(n³).
 */
export function inversionsCdf(discordant: number, n: number): number {
  if (!(Number.isInteger(n) && n >= 1)) throw new RangeError(`number of values must be whole and above 0: ${n}`);
  const most = (n * (n - 1)) / 2;
  if (discordant < 0) return 0;
  if (discordant >= most) return 1;
  let chances = new Float64Array(most + 1);
  chances[0] = 1;
  for (let size = 2; size <= n; size++) {
    const next = new Float64Array(most + 1);
    let window = 0;
    for (let d = 0; d <= (size * (size - 1)) / 2; d++) {
      window += (chances[d] ?? 0) - (d >= size ? (chances[d - size] ?? 0) : 0);
      next[d] = window / size;
    }
    chances = next;
  }
  let sum = 0;
  for (let d = 0; d <= discordant; d++) sum += chances[d] ?? 0;
  return Math.min(1, sum);
}

function tiedPairs(ties: readonly number[]): number {
  return ties.reduce((sum, k) => sum + (k * (k - 1)) / 2, 0);
}

function exactTwoSided(s: number, n: number): number {
  const discordant = ((n * (n - 1)) / 2 - Math.abs(s)) / 2;
  return Math.min(1, 2 * inversionsCdf(discordant, n));
}
