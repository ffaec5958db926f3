import { gammaCdf, gammaUpper, normalDensity, normalUpper } from "@/lib/statistics/distributions";
import { findRoot } from "@/lib/statistics/root";

/** Laplace's test: events, standardised mean time (null without events), exact and normal chance of one so large. */
export type LaplaceTest = {
  readonly n: number;
  readonly z: number | null;
  readonly pRising: number;
  readonly pRisingNormal: number;
};

/** The MIL-HDBK-189 test: its statistic, degrees of freedom and the chances of one so small, so large, so extreme. */
export type MilHandbook189 = {
  readonly n: number;
  readonly chiSquare: number;
  readonly df: number;
  readonly pRising: number;
  readonly pFalling: number;
  readonly pTwoSided: number;
};

const LARGEST_EXACT = 200;

/**
 * Laplace's test of a rising event rate, one-sided, exact up to 200 events.
 *
 * Null hypothesis: a Poisson process of constant rate in operational time, so the times are independent uniforms.
 * Above 200 events the tail is normal with one Edgeworth term, and a saddlepoint tail beyond two standard deviations.
 *
 * @param u - operational times in [0, 1], any order; the watch ends at 1 (time-truncated)
 * @returns p-values small when events crowd to the end; no event: z null, p = 1
 * @throws RangeError for a time outside [0, 1]
 *
 * Source: NIST/SEMATECH e-Handbook 8.2.3.4; Cox and Lewis (1966), ch. 3 (from memory). Cost: O(n).
 */
export function laplaceTest(u: readonly number[]): LaplaceTest {
  const n = u.length;
  if (n === 0) return { n, z: null, pRising: 1, pRisingNormal: 1 };
  let sum = 0;
  for (const time of u) {
    if (!(time >= 0 && time <= 1)) throw new RangeError(`operational time outside [0, 1]: ${time}`);
    sum += time;
  }
  const z = (sum / n - 0.5) * Math.sqrt(12 * n);
  return { n, z, pRising: uniformSumUpper(sum, n), pRisingNormal: normalUpper(z) };
}

/**
 * P(S >= s) for the sum S of n independent uniforms on (0, 1) (Irwin-Hall), exact to n = 200.
 *
 * @param n - whole, at least 1
 * @throws RangeError for an impossible n or s
 * Source: Irwin (1927), Hall (1927), Biometrika 19 (from memory). Recurrence: de Boor (1972) for
 * uniform B-splines; above 200 Lugannani and Rice (1980); both from memory. Cost: O(n (n - s)).
 */
export function uniformSumUpper(s: number, n: number): number {
  if (!(Number.isInteger(n) && n >= 1)) throw new RangeError(`number of uniforms must be whole and above 0: ${n}`);
  if (Number.isNaN(s)) throw new RangeError(`sum is not a number: ${s}`);
  if (s <= 0) return 1;
  if (s >= n) return 0;
  if (s < n / 2) return 1 - uniformSumUpper(n - s, n);
  return n <= LARGEST_EXACT ? irwinHallLower(n - s, n) : largeTail(s, n);
}

// Density of the sum of m uniforms at r, r + 1, ... by de Boor's recurrence in m: every term is positive, so unlike
// the alternating sum it loses no digits, however small the tail. The cdf for n is the sum of densities for n + 1.
function irwinHallLower(x: number, n: number): number {
  const whole = Math.floor(x);
  const r = x - whole;
  const density = new Float64Array(whole + 1);
  density[0] = 1;
  for (let m = 2; m <= n + 1; m++) {
    for (let j = Math.min(whole, m - 1); j >= 0; j--) {
      const here = density[j] ?? 0;
      const left = density[j - 1] ?? 0;
      density[j] = ((r + j) * here + (m - r - j) * left) / (m - 1);
    }
  }
  let sum = 0;
  for (const term of density) sum += term;
  return Math.min(1, sum);
}

function largeTail(s: number, n: number): number {
  const z = (s - n / 2) * Math.sqrt(12 / n);
  if (z < 2) return edgeworthUpper(z, n);
  // The Edgeworth tail turns negative far out; the saddlepoint tail keeps its relative error of order 1/n.
  const mean = s / n - 0.5;
  const tilt = findRoot((t) => 0.5 / Math.tanh(t / 2) - 1 / t - mean, { low: 1e-3, high: 2 / (0.5 - mean) });
  // ln(sinh(t/2) / (t/2)) written so that a large t does not overflow.
  const logMoment = tilt / 2 + Math.log(-Math.expm1(-tilt) / tilt);
  const w = Math.sqrt(2 * n * (tilt * mean - logMoment));
  const sinh = Math.sinh(Math.min(tilt / 2, 300));
  const v = tilt * Math.sqrt(n * (1 / (tilt * tilt) - 1 / (4 * sinh * sinh)));
  return Math.min(1, Math.max(0, normalUpper(w) + normalDensity(w) * (1 / v - 1 / w)));
}

/** P(S >= s) of a standardised sum of n uniforms: normal tail with one Edgeworth term. May leave [0, 1] far out. */
export function edgeworthUpper(z: number, n: number): number {
  return normalUpper(z) + (normalDensity(z) * (-1.2 / n) * (z * z * z - 3 * z)) / 24;
}

/**
 * MIL-HDBK-189 test of a rising or falling event rate against a power law: X² = 2 sum ln(1/u) on 2n degrees.
 *
 * Null hypothesis as for `laplaceTest`; small X² means rising. Events on the very first moment have no logarithm.
 *
 * @param u - operational times in (0, 1], any order; the watch ends at 1 (time-truncated)
 * @returns exact chances; no event: chiSquare 0, df 0, every p = 1
 * @throws RangeError for a time outside (0, 1]
 *
 * Source: NIST/SEMATECH e-Handbook 8.2.3.4.
 */
export function milHandbook189(u: readonly number[]): MilHandbook189 {
  const n = u.length;
  if (n === 0) return { n, chiSquare: 0, df: 0, pRising: 1, pFalling: 1, pTwoSided: 1 };
  const logs = sumOfLogs(u);
  const pRising = gammaCdf(logs, { shape: n, rate: 1 });
  const pFalling = gammaUpper(logs, { shape: n, rate: 1 });
  return {
    n,
    chiSquare: 2 * logs,
    df: 2 * n,
    pRising,
    pFalling,
    pTwoSided: Math.min(1, 2 * Math.min(pRising, pFalling)),
  };
}

/** Sum of ln(1/u) over operational times in (0, 1]; throws RangeError for a time outside. */
export function sumOfLogs(u: readonly number[]): number {
  let sum = 0;
  for (const time of u) {
    if (!(time > 0 && time <= 1)) throw new RangeError(`operational time outside (0, 1]: ${time}`);
    sum -= Math.log(time);
  }
  return sum;
}
