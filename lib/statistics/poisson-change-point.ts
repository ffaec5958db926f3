/**
 * Most likely single change of a Poisson rate: events or cells before it, the rates on both sides, and twice the gain
 * in log-likelihood (its null distribution is not chi-square: it is a maximum over all places).
 */
export type RateChange = {
  readonly before: number;
  readonly rateBefore: number;
  readonly rateAfter: number;
  readonly logLikelihoodRatio2: number;
};

/**
 * Change of rate between two cells of equal exposure; `before` is the number of cells before the change.
 *
 * @param counts - one per cell, at least 0
 * @returns null for fewer than two cells or no event
 */
export function rateChangeInCells(counts: readonly number[]): RateChange | null {
  const total = counts.reduce((sum, count) => sum + count, 0);
  if (counts.length < 2 || total === 0) return null;
  let best: RateChange | null = null;
  let sum = 0;
  for (let before = 1; before < counts.length; before++) {
    sum += counts[before - 1] ?? 0;
    const candidate = change({ before, count: sum, total, exposure: before, whole: counts.length });
    if (best === null || candidate.logLikelihoodRatio2 > best.logLikelihoodRatio2) best = candidate;
  }
  return best;
}

/**
 * Change of rate at the moment of an event; `before` is the number of events up to and with that moment.
 *
 * @param times - moments of events in (start, end), any order
 * @returns null for fewer than two events
 * @throws RangeError for a moment outside the watch
 */
export function rateChangeAtEvent(
  times: readonly number[],
  { start, end }: { start: number; end: number },
): RateChange | null {
  const sorted = Float64Array.from(times).sort();
  let best: RateChange | null = null;
  for (let before = 1; before <= sorted.length; before++) {
    const at = sorted[before - 1] ?? Number.NaN;
    if (!(at > start && at < end)) throw new RangeError(`moment outside ${start} to ${end}: ${at}`);
    if (sorted.length < 2) return null;
    const candidate = change({ before, count: before, total: sorted.length, exposure: at - start, whole: end - start });
    if (best === null || candidate.logLikelihoodRatio2 > best.logLikelihoodRatio2) best = candidate;
  }
  return best;
}

type Division = { before: number; count: number; total: number; exposure: number; whole: number };

function change({ before, count, total, exposure, whole }: Division): RateChange {
  const rateBefore = count / exposure;
  const rateAfter = (total - count) / (whole - exposure);
  const term = (events: number, rate: number) => (events === 0 ? 0 : events * Math.log(rate));
  const gain = term(count, rateBefore) + term(total - count, rateAfter) - term(total, total / whole);
  return { before, rateBefore, rateAfter, logLikelihoodRatio2: 2 * gain };
}
