import { resultant } from "@/lib/statistics/circle";

/**
 * Rotation test: do the patterns of several periods (years) agree on a direction?
 *
 * Each period keeps its own pattern, bursts and all, and is turned by a random angle; p is the share of draws whose
 * joint resultant is as long. A second opinion where events cluster inside a period. Null hypothesis: the periods'
 * directions are unrelated. Assumes even exposure within a period.
 *
 * @param periods - angles in radians, one list per period; empty ones say nothing
 * @param draws - number of random turns, 1999 is usual
 * @param random - uniform on [0, 1), seeded by the caller
 * @returns p in (0, 1]; fewer than two periods with events cannot disagree: 1
 * @throws RangeError for an impossible number of draws or an angle that is not finite
 */
export function rotationTest({
  periods,
  draws,
  random,
}: {
  periods: readonly (readonly number[])[];
  draws: number;
  random: () => number;
}): number {
  if (!(Number.isInteger(draws) && draws >= 1)) throw new RangeError(`draws must be whole and above 0: ${draws}`);
  const sums = periods.filter((angles) => angles.length > 0).map(resultant);
  if (sums.length < 2) return 1;
  const observed = sums.reduce((total, { cos, sin }) => ({ cos: total.cos + cos, sin: total.sin + sin }));
  // A draw that repeats the observed length but for rounding counts as a repeat.
  const reached = Math.hypot(observed.cos, observed.sin) * (1 - 1e-12);
  const lengths = sums.map(({ cos, sin }) => Math.hypot(cos, sin));
  let exceeding = 0;
  for (let draw = 0; draw < draws; draw++) {
    let cos = 0;
    let sin = 0;
    for (const length of lengths) {
      const turn = 2 * Math.PI * random();
      cos += length * Math.cos(turn);
      sin += length * Math.sin(turn);
    }
    if (Math.hypot(cos, sin) >= reached) exceeding++;
  }
  return (1 + exceeding) / (draws + 1);
}
