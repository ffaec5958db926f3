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
  /** Logarithm of the marginal likelihood of the events, without a constant common to all sets; close, not exact. */
  readonly evidence: number;
  readonly counts: Float64Array;
  /** Probability of each source for each event, rows after one another. */
  readonly shares: Float64Array;
};

const PASSES = 4;
const LEAST_INTENSITY = 1e-12;

/**
 * Events of one unit as the sum of independent Poisson sources of unknown rates with gamma priors and known relative
 * intensities. Evidence: event after event, each predicted from the rates as the events before it, shared out, leave them;
 * exact for a single source and for a single event. Shares: from there by collapsed variational passes.
 *
 * @param sources - the columns taken to act, each once
 * @returns without events: the evidence of having had none
 * Cost: O(events x sources), a few passes.
 *
 * Source: assumed-density filtering and zero-order collapsed variational inference (Asuncion, Welling, Smyth and Teh 2009,
 * UAI, 27-34), for gamma-Poisson rates (from memory).
 */
export function fitRateMixture(
  data: MixtureData,
  { sources, priors }: { sources: readonly number[]; priors: readonly SourcePrior[] },
): MixtureFit {
  const rows = data.weights.length;
  const width = sources.length;
  const fit = { shares: new Float64Array(rows * width), counts: new Float64Array(width) };
  const used = sources.map((source) => {
    const { shape, rate } = priors[source] ?? { shape: 1, rate: 1 };
    return { source, shape, time: rate + (data.exposures[source] ?? 0), rate };
  });
  let evidence = used.reduce((sum, { shape, rate, time }) => sum + shape * Math.log(rate / time), 0);
  for (let row = 0; row < rows; row += 1) evidence += shareOut(data, { used, row, ...fit });
  for (let pass = 1; pass < PASSES && width > 1; pass += 1) {
    for (let row = 0; row < rows; row += 1) shareOut(data, { used, row, ...fit });
  }
  return { evidence, ...fit };
}

type Used = { readonly source: number; readonly shape: number; readonly time: number };
type Sharing = {
  readonly used: readonly Used[];
  readonly row: number;
  readonly shares: Float64Array;
  readonly counts: Float64Array;
};

// Shares one event out anew by what the others leave; returns the logarithm of its predicted intensity.
function shareOut({ intensities, columns, weights }: MixtureData, { used, row, shares, counts }: Sharing): number {
  const width = used.length;
  const weight = weights[row] ?? 0;
  const first = row * width;
  let total = 0;
  for (let place = 0; place < width; place += 1) {
    const one = used[place];
    if (!one) continue;
    const before = Math.max(0, (counts[place] ?? 0) - weight * (shares[first + place] ?? 0));
    counts[place] = before;
    const fits = Math.max(LEAST_INTENSITY, intensities[row * columns + one.source] ?? 0);
    const value = (fits * (one.shape + before)) / one.time;
    shares[first + place] = value;
    total += value;
  }
  for (let place = 0; place < width; place += 1) {
    const share = (shares[first + place] ?? 0) / total;
    shares[first + place] = share;
    counts[place] = (counts[place] ?? 0) + weight * share;
  }
  return weight * Math.log(total);
}
