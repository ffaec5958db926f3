import gammaln from "@stdlib/math-base-special-gammaln";

/** Prior of the rate of one source: a gamma distribution by shape and rate (exposure). */
export type SourcePrior = { readonly shape: number; readonly rate: number };

/** Events one unit had, and what each source would make of them. */
export type MixtureData = {
  /** Relative intensity of each source at each event, rows of `columns` after one another; not below 0. */
  readonly intensities: Float64Array;
  readonly columns: number;
  /** How much each event counts, 0 to 1. */
  readonly weights: Float64Array;
  /** Exposure of each source: its intensity integrated over the time watched. */
  readonly exposures: Float64Array;
};

/** A fitted set of sources: evidence, and for each of them in order its share of the events and of each event. */
export type MixtureFit = {
  /** Lower bound of the log marginal likelihood of the events, without a constant common to all sets. */
  readonly evidence: number;
  readonly counts: Float64Array;
  /** Probability of each source for each event, rows after one another. */
  readonly shares: Float64Array;
};

const PASSES = 6;
const LEAST_INTENSITY = 1e-12;

/**
 * Events of one unit as the sum of independent Poisson sources of unknown rates with gamma priors and known relative
 * intensities: variational lower bound by coordinate ascent from equal shares.
 *
 * @param sources - the columns taken to act, each once
 * @returns without events: the evidence of having had none
 * Cost: O(passes x events x sources).
 *
 * Source: Bishop (2006), Pattern Recognition and Machine Learning, ch. 10, for a gamma-Poisson mixture (from memory).
 */
export function fitRateMixture(
  { intensities, columns, weights, exposures }: MixtureData,
  { sources, priors }: { sources: readonly number[]; priors: readonly SourcePrior[] },
): MixtureFit {
  const rows = weights.length;
  const width = sources.length;
  const shares = new Float64Array(rows * width);
  const counts = new Float64Array(width);
  const scale = Float64Array.from(sources, (source) => 1 / Math.max(exposures[source] ?? 0, 1));
  let information = 0;
  for (let pass = 0; rows > 0 && pass < PASSES; pass += 1) {
    information = 0;
    if (pass > 0) logRates({ sources, priors, exposures, counts, scale });
    counts.fill(0);
    for (let row = 0; row < rows; row += 1) {
      let total = 0;
      for (let place = 0; place < width; place += 1) {
        const value =
          Math.max(LEAST_INTENSITY, intensities[row * columns + (sources[place] ?? 0)] ?? 0) * (scale[place] ?? 0);
        shares[row * width + place] = value;
        total += value;
      }
      const weight = weights[row] ?? 0;
      for (let place = 0; place < width; place += 1) {
        const share = (shares[row * width + place] ?? 0) / total;
        shares[row * width + place] = share;
        counts[place] = (counts[place] ?? 0) + weight * share;
      }
      information += weight * Math.log(total);
    }
    // With the shares of this pass: sum of q log(f / q) = sum of log(total) - sum of counts x log scale.
    for (let place = 0; place < width; place += 1) information -= (counts[place] ?? 0) * Math.log(scale[place] ?? 1);
  }
  let evidence = information;
  for (const [place, source] of sources.entries()) {
    evidence += countEvidence(counts[place] ?? 0, exposures[source] ?? 0, priors[source]);
  }
  return { evidence, counts, shares };
}

type Scaling = {
  readonly sources: readonly number[];
  readonly priors: readonly SourcePrior[];
  readonly exposures: Float64Array;
  readonly counts: Float64Array;
  readonly scale: Float64Array;
};

// exp of the expected log rate.
function logRates({ sources, priors, exposures, counts, scale }: Scaling): void {
  for (const [place, source] of sources.entries()) {
    const { shape, rate } = priors[source] ?? { shape: 1, rate: 1 };
    scale[place] = Math.exp(digamma(shape + (counts[place] ?? 0))) / (rate + (exposures[source] ?? 0));
  }
}

function countEvidence(count: number, exposure: number, prior: SourcePrior | undefined): number {
  const { shape, rate } = prior ?? { shape: 1, rate: 1 };
  const gained = count > 0 ? gammaln(shape + count) - gammaln(shape) : 0;
  return shape * Math.log(rate / (rate + exposure)) + gained - count * Math.log(rate + exposure);
}

// Recurrence to 6, then the asymptotic series; error below 1e-9 for x >= .05.
function digamma(x: number): number {
  let shifted = x;
  let sum = 0;
  while (shifted < 6) {
    sum -= 1 / shifted;
    shifted += 1;
  }
  const inverse = 1 / (shifted * shifted);
  return sum + Math.log(shifted) - 0.5 / shifted - inverse * (1 / 12 - inverse * (1 / 120 - inverse / 252));
}
