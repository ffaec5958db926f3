/**
 * Distribution functions, upper tails and quantiles of the families the tests stand on.
 *
 * Upper tails are computed as such, never as 1 - cdf, so a p-value of 1e-30 keeps its digits. Discrete `...Upper`
 * is P(X >= k); continuous `...Upper` is P(X > x). Every function throws RangeError on an impossible parameter.
 */
import betainc from "@stdlib/math-base-special-betainc";
import betaln from "@stdlib/math-base-special-betaln";
import erfc from "@stdlib/math-base-special-erfc";
import erfcinv from "@stdlib/math-base-special-erfcinv";
import gammainc from "@stdlib/math-base-special-gammainc";
import gammaln from "@stdlib/math-base-special-gammaln";
import betaQuantileOf from "@stdlib/stats-base-dists-beta-quantile";
import binomialQuantileOf from "@stdlib/stats-base-dists-binomial-quantile";
import chiSquareQuantileOf from "@stdlib/stats-base-dists-chisquare-quantile";
import fQuantileOf from "@stdlib/stats-base-dists-f-quantile";
import gammaQuantileOf from "@stdlib/stats-base-dists-gamma-quantile";
import negativeBinomialQuantileOf from "@stdlib/stats-base-dists-negative-binomial-quantile";
import poissonQuantileOf from "@stdlib/stats-base-dists-poisson-quantile";
import studentQuantileOf from "@stdlib/stats-base-dists-t-quantile";

/** Shape and rate (1 / scale) of a gamma distribution, both above 0. */
export type GammaParameters = { readonly shape: number; readonly rate: number };
/** The two shapes of a beta distribution, both above 0. */
export type BetaParameters = { readonly a: number; readonly b: number };
/** Numerator and denominator degrees of freedom of an F distribution, both above 0. */
export type FParameters = { readonly df1: number; readonly df2: number };
/** Trials and chance of success of a binomial distribution. */
export type BinomialParameters = { readonly n: number; readonly p: number };
/** Size (variance = mean + mean² / size; Infinity is the Poisson distribution) and mean of a negative binomial. */
export type NegativeBinomialParameters = { readonly size: number; readonly mean: number };

const SQRT2 = Math.SQRT2;

function demand(holds: boolean, what: string, value: number): void {
  if (!holds) throw new RangeError(`${what}: ${value}`);
}
const demandNumber = (x: number) => demand(!Number.isNaN(x), "not a number", x);
const demandPositive = (x: number, name: string) => demand(x > 0, `${name} must be above 0`, x);
const demandProbability = (p: number) => demand(p >= 0 && p <= 1, "probability outside [0, 1]", p);
const demandMean = (mean: number) => demand(mean >= 0 && mean < Infinity, "mean must be finite and at least 0", mean);

/** P(Z <= z) of the standard normal distribution. */
export function normalCdf(z: number): number {
  demandNumber(z);
  return 0.5 * erfc(-z / SQRT2);
}
/** P(Z > z) of the standard normal distribution. */
export function normalUpper(z: number): number {
  return normalCdf(-z);
}
/** Density of the standard normal distribution at z. */
export function normalDensity(z: number): number {
  return Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
}
/** z with P(Z <= z) = p; -Infinity at 0, Infinity at 1. */
export function normalQuantile(p: number): number {
  demandProbability(p);
  return p === 0.5 ? 0 : -SQRT2 * erfcinv(2 * p);
}

/** P(X = k) of a Poisson count with the given mean; 0 for k below 0 or not whole. */
export function poissonPmf(k: number, mean: number): number {
  demandMean(mean);
  if (k < 0 || !Number.isInteger(k)) return 0;
  if (mean === 0) return k === 0 ? 1 : 0;
  return Math.exp(k * Math.log(mean) - mean - gammaln(k + 1));
}
/** P(X <= k) of a Poisson count. */
export function poissonCdf(k: number, mean: number): number {
  demandMean(mean);
  if (k < 0) return 0;
  return mean === 0 || k === Infinity ? 1 : gammainc(mean, Math.floor(k) + 1, true, true);
}
/** P(X >= k) of a Poisson count. */
export function poissonUpper(k: number, mean: number): number {
  demandMean(mean);
  if (k <= 0) return 1;
  return mean === 0 || k === Infinity ? 0 : gammainc(mean, Math.ceil(k), true, false);
}
/** Smallest k with P(X <= k) >= p of a Poisson count; Infinity at p = 1. */
export function poissonQuantile(p: number, mean: number): number {
  demandProbability(p);
  demandMean(mean);
  return mean === 0 ? 0 : poissonQuantileOf(p, mean);
}

/** P(X <= x) of a gamma distribution. */
export function gammaCdf(x: number, { shape, rate }: GammaParameters): number {
  demandPositive(shape, "shape");
  demandPositive(rate, "rate");
  return x <= 0 ? 0 : x === Infinity ? 1 : gammainc(x * rate, shape, true, false);
}
/** P(X > x) of a gamma distribution. */
export function gammaUpper(x: number, { shape, rate }: GammaParameters): number {
  demandPositive(shape, "shape");
  demandPositive(rate, "rate");
  return x <= 0 ? 1 : x === Infinity ? 0 : gammainc(x * rate, shape, true, true);
}
/** x with P(X <= x) = p of a gamma distribution. */
export function gammaQuantile(p: number, { shape, rate }: GammaParameters): number {
  demandProbability(p);
  demandPositive(shape, "shape");
  demandPositive(rate, "rate");
  return gammaQuantileOf(p, shape, rate);
}

/** P(X <= x) of a beta distribution. */
export function betaCdf(x: number, { a, b }: BetaParameters): number {
  demandPositive(a, "a");
  demandPositive(b, "b");
  return x <= 0 ? 0 : x >= 1 ? 1 : betainc(x, a, b, true, false);
}
/** P(X > x) of a beta distribution. */
export function betaUpper(x: number, { a, b }: BetaParameters): number {
  demandPositive(a, "a");
  demandPositive(b, "b");
  return x <= 0 ? 1 : x >= 1 ? 0 : betainc(x, a, b, true, true);
}
/** x with P(X <= x) = p of a beta distribution. */
export function betaQuantile(p: number, { a, b }: BetaParameters): number {
  demandProbability(p);
  demandPositive(a, "a");
  demandPositive(b, "b");
  return betaQuantileOf(p, a, b);
}

/** P(X <= x) of a chi-square distribution. */
export function chiSquareCdf(x: number, df: number): number {
  return gammaCdf(x, { shape: df / 2, rate: 0.5 });
}
/** P(X > x) of a chi-square distribution. */
export function chiSquareUpper(x: number, df: number): number {
  return gammaUpper(x, { shape: df / 2, rate: 0.5 });
}
/** x with P(X <= x) = p of a chi-square distribution. */
export function chiSquareQuantile(p: number, df: number): number {
  demandProbability(p);
  demandPositive(df, "degrees of freedom");
  return chiSquareQuantileOf(p, df);
}

/** P(T <= t) of Student's distribution. */
export function studentCdf(t: number, df: number): number {
  return studentUpper(-t, df);
}
/** P(T > t) of Student's distribution. */
export function studentUpper(t: number, df: number): number {
  demandNumber(t);
  demandPositive(df, "degrees of freedom");
  if (df === Infinity) return normalUpper(t);
  if (t < 0) return 1 - studentUpper(-t, df);
  if (t === Infinity) return 0;
  const square = t * t;
  const share = square < df ? square / (df + square) : df / (df + square);
  return 0.5 * (square < df ? betainc(share, 0.5, df / 2, true, true) : betainc(share, df / 2, 0.5, true, false));
}
/** t with P(T <= t) = p of Student's distribution. */
export function studentQuantile(p: number, df: number): number {
  demandProbability(p);
  demandPositive(df, "degrees of freedom");
  if (df === Infinity) return normalQuantile(p);
  return p === 0 ? -Infinity : p === 1 ? Infinity : studentQuantileOf(p, df);
}

/** P(X <= x) of an F distribution. */
export function fCdf(x: number, { df1, df2 }: FParameters): number {
  return fUpper(x > 0 ? 1 / x : Infinity, { df1: df2, df2: df1 });
}
/** P(X > x) of an F distribution. */
export function fUpper(x: number, { df1, df2 }: FParameters): number {
  demandPositive(df1, "df1");
  demandPositive(df2, "df2");
  if (x <= 0) return 1;
  if (x === Infinity) return 0;
  const above = df1 * x;
  return above < df2
    ? betainc(above / (above + df2), df1 / 2, df2 / 2, true, true)
    : betainc(df2 / (above + df2), df2 / 2, df1 / 2, true, false);
}
/** x with P(X <= x) = p of an F distribution. */
export function fQuantile(p: number, { df1, df2 }: FParameters): number {
  demandProbability(p);
  demandPositive(df1, "df1");
  demandPositive(df2, "df2");
  return fQuantileOf(p, df1, df2);
}

function demandBinomial({ n, p }: BinomialParameters): void {
  demand(Number.isInteger(n) && n >= 0, "trials must be whole and at least 0", n);
  demandProbability(p);
}
/** P(X = k) of a binomial count; 0 where k is impossible. */
export function binomialPmf(k: number, parameters: BinomialParameters): number {
  const { n, p } = parameters;
  demandBinomial(parameters);
  if (k < 0 || k > n || !Number.isInteger(k)) return 0;
  if (p === 0) return k === 0 ? 1 : 0;
  if (p === 1) return k === n ? 1 : 0;
  return Math.exp(k * Math.log(p) + (n - k) * Math.log1p(-p) - Math.log(n + 1) - betaln(k + 1, n - k + 1));
}
/** P(X <= k) of a binomial count. */
export function binomialCdf(k: number, parameters: BinomialParameters): number {
  const { n, p } = parameters;
  demandBinomial(parameters);
  const whole = Math.floor(k);
  return whole < 0 ? 0 : whole >= n ? 1 : betainc(p, whole + 1, n - whole, true, true);
}
/** P(X >= k) of a binomial count. */
export function binomialUpper(k: number, parameters: BinomialParameters): number {
  const { n, p } = parameters;
  demandBinomial(parameters);
  const whole = Math.ceil(k);
  return whole <= 0 ? 1 : whole > n ? 0 : betainc(p, whole, n - whole + 1, true, false);
}
/** Smallest k with P(X <= k) >= p of a binomial count. */
export function binomialQuantile(probability: number, parameters: BinomialParameters): number {
  demandProbability(probability);
  demandBinomial(parameters);
  return parameters.n === 0 ? 0 : binomialQuantileOf(probability, parameters.n, parameters.p);
}

function demandNegativeBinomial({ size, mean }: NegativeBinomialParameters): void {
  demandPositive(size, "size");
  demandMean(mean);
}
/** ln P(X = k) of a negative binomial count; -Infinity where k is impossible. */
export function negativeBinomialLogPmf(k: number, parameters: NegativeBinomialParameters): number {
  const { size, mean } = parameters;
  demandNegativeBinomial(parameters);
  if (k < 0 || !Number.isInteger(k)) return -Infinity;
  if (mean === 0) return k === 0 ? 0 : -Infinity;
  // Beyond 1e10 the two distributions agree to more digits than the sum below keeps.
  if (size > 1e10) return k * Math.log(mean) - mean - gammaln(k + 1);
  const none = -size * Math.log1p(mean / size);
  return k === 0 ? none : none - k * Math.log1p(size / mean) - Math.log(k + size) - betaln(size, k + 1);
}
/** P(X = k) of a negative binomial count; 0 where k is impossible. */
export function negativeBinomialPmf(k: number, parameters: NegativeBinomialParameters): number {
  return Math.exp(negativeBinomialLogPmf(k, parameters));
}
/** P(X <= k) of a negative binomial count. */
export function negativeBinomialCdf(k: number, parameters: NegativeBinomialParameters): number {
  const { size, mean } = parameters;
  demandNegativeBinomial(parameters);
  if (size > 1e10) return poissonCdf(k, mean);
  const whole = Math.floor(k);
  if (whole < 0) return 0;
  if (mean === 0 || k === Infinity) return 1;
  return mean < size
    ? betainc(mean / (size + mean), whole + 1, size, true, true)
    : betainc(size / (size + mean), size, whole + 1, true, false);
}
/** P(X >= k) of a negative binomial count. */
export function negativeBinomialUpper(k: number, parameters: NegativeBinomialParameters): number {
  const { size, mean } = parameters;
  demandNegativeBinomial(parameters);
  if (size > 1e10) return poissonUpper(k, mean);
  const whole = Math.ceil(k);
  if (whole <= 0) return 1;
  if (mean === 0 || k === Infinity) return 0;
  return mean < size
    ? betainc(mean / (size + mean), whole, size, true, false)
    : betainc(size / (size + mean), size, whole, true, true);
}
/** Smallest k with P(X <= k) >= p of a negative binomial count; Infinity at p = 1. */
export function negativeBinomialQuantile(p: number, parameters: NegativeBinomialParameters): number {
  const { size, mean } = parameters;
  demandProbability(p);
  demandNegativeBinomial(parameters);
  if (size > 1e10 || mean === 0) return poissonQuantile(p, mean);
  return negativeBinomialQuantileOf(p, size, size / (size + mean));
}
