import { wrapAngle } from "@/lib/statistics/circle";
import { chiSquareUpper, fUpper } from "@/lib/statistics/distributions";
import { type PoissonFit, poissonRegression } from "@/lib/statistics/poisson-regression";

/**
 * A season as harmonics of the log rate. The first harmonic's amplitude (log scale), the rate's peak over its trough,
 * and the peak's angle with standard errors; likelihood-ratio test of all harmonics, and its F version for counts more
 * spread than Poisson (null without degrees of freedom). `fit` holds intercept, trend if any, cos 1, sin 1, cos 2, ...
 */
export type HarmonicPoisson = {
  readonly fit: PoissonFit;
  readonly devianceNull: number;
  readonly lrt: number;
  readonly df: number;
  readonly p: number;
  readonly amplitude: number;
  readonly amplitudeSe: number;
  readonly peakToTroughRatio: number;
  readonly peakAngle: number;
  readonly peakAngleSe: number;
  readonly quasiF: number | null;
  readonly quasiP: number | null;
};

/**
 * Fits log mean = a + [trend] + sum over h of (c_h cos h angle + s_h sin h angle) + log exposure.
 *
 * @param counts - one per cell; cells without exposure must be left out before
 * @param exposure - above 0
 * @param angles - radians on the year, or day, of each cell's middle
 * @param harmonics - 1 or more
 * @param trend - a further column, for instance years; left out: none
 * @returns null when the fit cannot be made or runs away (all events in one cell): use the weighted Rayleigh test
 * @throws RangeError for unequal lengths or impossible values
 *
 * Source: McCullagh and Nelder (1989), Generalized Linear Models, ch. 6 (from memory).
 */
export function harmonicPoisson({
  counts,
  exposure,
  angles,
  harmonics,
  trend,
}: {
  counts: readonly number[];
  exposure: readonly number[];
  angles: readonly number[];
  harmonics: number;
  trend?: readonly number[];
}): HarmonicPoisson | null {
  if (!(Number.isInteger(harmonics) && harmonics >= 1)) throw new RangeError(`harmonics must be whole: ${harmonics}`);
  if (angles.length !== counts.length) throw new RangeError(`${angles.length} angles for ${counts.length} counts`);
  const plain = counts.map((_, i) => (trend === undefined ? [1] : [1, trend[i] ?? Number.NaN]));
  const full = plain.map((row, i) => [...row, ...waves(angles[i] ?? 0, harmonics)]);
  const without = poissonRegression({ x: plain, counts, exposure });
  const fit = poissonRegression({ x: full, counts, exposure });
  if (without === null || fit === null) return null;
  const lrt = Math.max(0, without.deviance - fit.deviance);
  const df = 2 * harmonics;
  const quasiF = fit.dispersion === null ? null : lrt / df / fit.dispersion;
  return {
    fit,
    devianceNull: without.deviance,
    lrt,
    df,
    p: chiSquareUpper(lrt, df),
    ...firstHarmonic(fit, plain[0]?.length ?? 1),
    quasiF,
    quasiP: quasiF === null ? null : fUpper(quasiF, { df1: df, df2: fit.df }),
  };
}

/** cos and sin of the first `harmonics` multiples of an angle, in the order cos 1, sin 1, cos 2, sin 2, ... */
export function waves(angle: number, harmonics: number): number[] {
  return Array.from({ length: 2 * harmonics }, (_, k) => {
    const turn = angle * (1 + (k >> 1));
    return k % 2 === 0 ? Math.cos(turn) : Math.sin(turn);
  });
}

// Standard errors by the delta method from the covariance of the two coefficients.
function firstHarmonic({ coefficients, covariance }: PoissonFit, at: number) {
  const c = coefficients[at] ?? 0;
  const s = coefficients[at + 1] ?? 0;
  const varC = covariance[at]?.[at] ?? 0;
  const varS = covariance[at + 1]?.[at + 1] ?? 0;
  const both = covariance[at]?.[at + 1] ?? 0;
  const amplitude = Math.hypot(c, s);
  return {
    amplitude,
    amplitudeSe: Math.sqrt(c * c * varC + s * s * varS + 2 * c * s * both) / amplitude,
    peakToTroughRatio: Math.exp(2 * amplitude),
    peakAngle: wrapAngle(Math.atan2(s, c)),
    peakAngleSe: Math.sqrt(s * s * varC + c * c * varS - 2 * c * s * both) / (amplitude * amplitude),
  };
}
