/** Mean and variance of a count; taken as negative binomial, or Poisson where the variance is no larger. */
export type CountMoments = { readonly mean: number; readonly variance: number };

const MOST_MEAN_MULTIPLES = 60;

/**
 * ln P(y) of a count known by mean and variance.
 *
 * @param y - whole, at least 0
 * @returns -Infinity for y above 0 where the mean is 0
 * Cost: O(y), much faster than special functions for the small counts of one detector.
 */
export function countLogProbability(y: number, { mean, variance }: CountMoments): number {
  if (mean <= 0) return y === 0 ? 0 : -Infinity;
  const excess = variance - mean;
  let log = 0;
  if (excess <= 1e-9 * mean) {
    for (let k = 1; k <= y; k++) log += Math.log(mean / k);
    return log - mean;
  }
  const size = (mean * mean) / excess;
  const share = mean / (size + mean);
  for (let k = 0; k < y; k++) log += Math.log(((size + k) / (k + 1)) * share);
  return log + size * Math.log(size / (size + mean));
}

/** Variance of a count under a spread, for a detector whose own rate is known to `doubt` (0 = exactly). */
export type DoubtedSpread = { readonly linear: number; readonly common: number; readonly own: number };

/** Variance linear m + (common + own x doubt) m². */
export function spreadVariance(mean: number, { linear, common, own }: DoubtedSpread, doubt: number): number {
  return linear * mean + (common + own * doubt) * mean * mean;
}

/** Counts with the means foretold for them and how well each one's own rate was known. */
export type ForetoldCounts = {
  readonly counts: readonly number[];
  readonly means: readonly number[];
  readonly doubts: readonly number[];
};

const LINEAR = [1, 1.1, 1.25, 1.5, 1.8, 2.3, 3, 4.5, 7];
const COMMON = [0, 0.05, 0.1, 0.2, 0.35, 0.6, 1, 1.7];
const OWN = [0, 0.25, 0.5, 1, 1.6];
const SWEEPS = 2;

// A weak belief on the logs, so that a handful of events does not settle three numbers: centre, shift from 0, deviation.
const BELIEF = {
  linear: { centre: 1.4, shift: 0, deviation: 0.4 },
  common: { centre: 0.3, shift: 0.1, deviation: 1 },
  own: { centre: 1, shift: 0.25, deviation: 1 },
};

function beliefIn(spread: DoubtedSpread): number {
  const keys = ["linear", "common", "own"] as const;
  return keys.reduce((sum, key) => {
    const { centre, shift, deviation } = BELIEF[key];
    return sum - (Math.log((spread[key] + shift) / centre) / deviation) ** 2 / 2;
  }, 0);
}

/**
 * The spread under which what came was likeliest, with a weak belief in usual ones: a grid searched one axis at a
 * time, twice.
 *
 * @param start - where to begin, and what is returned without any event
 */
export function fitSpread({ counts, means, doubts }: ForetoldCounts, start: DoubtedSpread): DoubtedSpread {
  if (!counts.some((count) => count > 0)) return start;
  const fitOf = (spread: DoubtedSpread) => {
    let sum = beliefIn(spread);
    for (let i = 0; i < counts.length; i++) {
      const mean = means[i] ?? 0;
      sum += countLogProbability(counts[i] ?? 0, { mean, variance: spreadVariance(mean, spread, doubts[i] ?? 0) });
    }
    return sum;
  };
  let best = start;
  let bestFit = fitOf(best);
  const consider = (candidate: DoubtedSpread) => {
    const fit = fitOf(candidate);
    if (fit > bestFit) {
      best = candidate;
      bestFit = fit;
    }
  };
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    const before = best;
    for (const linear of LINEAR) consider({ ...best, linear });
    for (const common of COMMON) consider({ ...best, common });
    for (const own of OWN) consider({ ...best, own });
    if (best === before) break;
  }
  return best;
}

/**
 * The shortest interval of whole numbers that holds at least `level` of the distribution, grown from its mode.
 *
 * @param level - in (0, 1)
 * @throws RangeError for another level
 */
export function countInterval(moments: CountMoments, { level }: { level: number }): { low: number; high: number } {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  let held = 0;
  let last = { low: 0, high: 0 };
  grow(moments, ({ low, high, mass }) => {
    held += mass;
    last = { low, high };
    return held < level;
  });
  return last;
}

/**
 * Probability of the numbers likelier than y: the level above which the shortest interval holds y.
 *
 * @param y - whole, at least 0
 */
export function levelReached(y: number, moments: CountMoments): number {
  let held = 0;
  grow(moments, ({ low, high, mass }) => {
    if (y >= low && y <= high) return false;
    held += mass;
    return true;
  });
  return Math.min(1, held);
}

type Step = { readonly low: number; readonly high: number; readonly mass: number };

// Takes whole numbers in the order of their probability, from the mode outwards, until told to stop.
function grow(moments: CountMoments, goOn: (step: Step) => boolean): void {
  const { mean, variance } = moments;
  const excess = Math.max(0, variance - mean);
  const size = excess > 1e-9 * mean ? (mean * mean) / excess : Infinity;
  const mode = size > 1 && mean > 0 ? Math.floor(size === Infinity ? mean : (mean * (size - 1)) / size) : 0;
  const most = mean + MOST_MEAN_MULTIPLES * (1 + Math.sqrt(variance));
  // P(k + 1) / P(k), from which both sides follow without any special function.
  const ratio = (k: number) => (size === Infinity ? mean / (k + 1) : (((size + k) / (k + 1)) * mean) / (size + mean));
  const peak = Math.exp(countLogProbability(mode, moments));
  let [low, high] = [mode, mode];
  let below = mode > 0 ? peak / ratio(mode - 1) : 0;
  let above = peak * ratio(mode);
  if (!goOn({ low, high, mass: peak })) return;
  while (high < most) {
    if (low > 0 && below >= above) {
      const mass = below;
      low -= 1;
      below = low > 0 ? below / ratio(low - 1) : 0;
      if (!goOn({ low, high, mass })) return;
    } else {
      const mass = above;
      high += 1;
      above *= ratio(high);
      if (!goOn({ low, high, mass })) return;
    }
  }
}
