import {
  type NegativeBinomialParameters,
  negativeBinomialCdf,
  negativeBinomialLogPmf,
  negativeBinomialPmf,
} from "@/lib/statistics/distributions";

/** Scores of one count forecast; lower is better for all but the PIT ends, between which the PIT is even. */
export type CountScores = {
  readonly logScore: number;
  readonly rankedProbabilityScore: number;
  readonly dawidSebastiani: number;
  readonly pitLow: number;
  readonly pitHigh: number;
};

const NEGLIGIBLE = 1e-13;

/**
 * Proper scores of a negative binomial (or Poisson: size Infinity) forecast against the count that came.
 *
 * @param y - the count, whole, at least 0
 * @returns log score -ln p(y), Infinity where the forecast said it could not happen
 * @throws RangeError for an impossible count or forecast
 * Source: Czado, Gneiting and Held (2009), Biometrics 65, 1254-1261 (from memory). Cost: O(mean + 10 deviations).
 */
export function countScores(y: number, forecast: NegativeBinomialParameters): CountScores {
  if (!(Number.isInteger(y) && y >= 0)) throw new RangeError(`count must be whole and at least 0: ${y}`);
  const { size, mean } = forecast;
  const variance = mean + (mean * mean) / size;
  const pitLow = y === 0 ? 0 : negativeBinomialCdf(y - 1, forecast);
  return {
    logScore: 0 - negativeBinomialLogPmf(y, forecast),
    rankedProbabilityScore: rankedProbabilityScore(y, forecast),
    dawidSebastiani: variance > 0 ? (y - mean) ** 2 / variance + Math.log(variance) : y === 0 ? -Infinity : Infinity,
    pitLow,
    pitHigh: negativeBinomialCdf(y, forecast),
  };
}

/** Sum over k of (F(k) - 1{y <= k})², the ranked probability score; throws RangeError for an impossible forecast. */
export function rankedProbabilityScore(y: number, forecast: NegativeBinomialParameters): number {
  let sum = 0;
  let cdf = 0;
  for (let k = 0; ; k++) {
    cdf = Math.min(1, cdf + negativeBinomialPmf(k, forecast));
    const gap = k < y ? cdf : 1 - cdf;
    sum += gap * gap;
    // The sum of rounded terms may stop short of 1 by a few units in the last place.
    if (k >= y && gap < NEGLIGIBLE) return sum;
    if (k >= y && k > forecast.mean && negativeBinomialPmf(k + 1, forecast) < 1e-18) return sum;
  }
}

/**
 * Non-randomised PIT histogram of several forecasts: shares per equal bin of [0, 1], even when calibrated.
 *
 * @param ends - pitLow and pitHigh of each forecast
 * @param bins - whole, at least 1
 * @returns shares that add up to 1; all 0 without forecasts
 * @throws RangeError for an impossible number of bins
 */
export function pitHistogram(
  ends: readonly { readonly pitLow: number; readonly pitHigh: number }[],
  { bins }: { bins: number },
): number[] {
  if (!(Number.isInteger(bins) && bins >= 1)) throw new RangeError(`bins must be whole and above 0: ${bins}`);
  const share = new Array<number>(bins).fill(0);
  for (const { pitLow, pitHigh } of ends) {
    const upTo = (x: number) => Math.min(1, Math.max(0, (x - pitLow) / (pitHigh - pitLow)));
    for (let bin = 0; bin < bins; bin++) {
      const mass = pitHigh > pitLow ? upTo((bin + 1) / bins) - upTo(bin / bins) : 0;
      share[bin] = (share[bin] ?? 0) + mass / ends.length;
    }
  }
  return share;
}
