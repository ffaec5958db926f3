/** Cumulative sums on both sides, and the index (from 0) at which each first passes the limit; null if never. */
export type Cusum = {
  readonly high: readonly number[];
  readonly low: readonly number[];
  readonly firstHigh: number | null;
  readonly firstLow: number | null;
};

/**
 * Tabular CUSUM of a series about a target: S = max(0, S + deviation - k) on either side, signal when S > h.
 *
 * @param x - values in order of time; may be empty
 * @param k - slack, usually half the shift to be found; at least 0
 * @param h - decision limit, above 0; the sums run on after a signal
 * @throws RangeError for an impossible slack or limit
 * Source: NIST/SEMATECH e-Handbook 6.3.2.3 (from memory).
 */
export function cusum(x: readonly number[], { target, k, h }: { target: number; k: number; h: number }): Cusum {
  if (!(k >= 0)) throw new RangeError(`slack must be at least 0: ${k}`);
  if (!(h > 0)) throw new RangeError(`limit must be above 0: ${h}`);
  const high: number[] = [];
  const low: number[] = [];
  let above = 0;
  let below = 0;
  for (const value of x) {
    above = Math.max(0, above + (value - target - k));
    below = Math.max(0, below + (target - k - value));
    high.push(above);
    low.push(below);
  }
  const first = (sums: readonly number[]) => {
    const index = sums.findIndex((sum) => sum > h);
    return index < 0 ? null : index;
  };
  return { high, low, firstHigh: first(high), firstLow: first(low) };
}
