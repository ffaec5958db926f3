/** A detector as a method sees it: its score, the highest first, and the cost that followed at it. */
export type Scored = { readonly score: number; readonly cost: number };

/**
 * Cost that the first `count` of the detectors by score held, where equal scores are in an order by chance: of a tie
 * that the count cuts, the expected part is held. So no method gains from the order of ids.
 *
 * @param count - 0 to the number of detectors
 * @throws RangeError for a score that is NaN or a count outside its range
 */
export function costHeld(detectors: readonly Scored[], count: number): number {
  if (!(count >= 0 && count <= detectors.length))
    throw new RangeError(`count outside 0..${detectors.length}: ${count}`);
  const ordered = [...detectors].sort((a, b) => byScore(a.score, b.score));
  let held = 0;
  for (let from = 0; from < count; ) {
    const score = ordered[from]?.score;
    let to = from;
    let tied = 0;
    while (to < ordered.length && ordered[to]?.score === score) {
      tied += ordered[to]?.cost ?? 0;
      to += 1;
    }
    held += tied * Math.min(1, (count - from) / (to - from));
    from = to;
  }
  return held;
}

/** How many detectors a share of `all` is: the nearest whole number, at least one where there is one. */
export function countOfShare(share: number, all: number): number {
  return Math.min(all, Math.max(1, Math.round(share * all)));
}

function byScore(a: number, b: number): number {
  if (Number.isNaN(a) || Number.isNaN(b)) throw new RangeError("a score is NaN");
  // Infinities minus each other are NaN, so scores are compared and not subtracted.
  return a === b ? 0 : a > b ? -1 : 1;
}
