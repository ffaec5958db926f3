import type { CauseShare } from "@/lib/analyse/modes/mode-model";

/** A share prevented with its standard deviation, also relative to the share (0 for a share of 0). */
export type ExpectedEffect = { readonly share: number; readonly sd: number; readonly relativeSd: number };

/**
 * Share of events a task is expected to prevent when their cause is in doubt: the mean over the causes.
 *
 * One cause is taken to stand behind all of them, so the variance holds the doubt within each cause and that between
 * causes. Linear in the probabilities: whoever learns more of the cause before choosing expects at least as much.
 *
 * @param causes - probabilities (any positive weights); none: a share of 0
 * @throws RangeError for a negative weight
 */
export function expectedEffect(
  causes: readonly CauseShare[],
  effectOf: (cause: CauseShare["cause"]) => { readonly share: number; readonly sd: number },
): ExpectedEffect {
  let total = 0;
  let sum = 0;
  let squares = 0;
  for (const { cause, value } of causes) {
    if (!(value >= 0)) throw new RangeError(`probability below 0: ${value} of ${cause}`);
    const { share, sd } = effectOf(cause);
    total += value;
    sum += value * share;
    squares += value * (share ** 2 + sd ** 2);
  }
  if (!(total > 0)) return { share: 0, sd: 0, relativeSd: 0 };
  const share = sum / total;
  const sd = Math.sqrt(Math.max(0, squares / total - share ** 2));
  return { share, sd, relativeSd: share > 0 ? sd / share : 0 };
}
