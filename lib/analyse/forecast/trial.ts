import type { Foretold } from "@/lib/analyse/forecast/foretold";
import { fitRecalibration, type Recalibration, recalibrated } from "@/lib/analyse/forecast/recalibration";
import {
  countLogProbability,
  type DoubtedSpread,
  fitSpread,
  levelReached,
  spreadVariance,
} from "@/lib/statistics/overdispersed-count";

/** How a part turns means into a distribution: level and slope put right, spread, and level of its shortest interval. */
export type Finish = { readonly recalibration: Recalibration; readonly spread: DoubtedSpread; readonly level: number };

/** One forecast tried: made and finished with nothing but what lay before its origin. */
export type TriedRow = {
  readonly detector: number;
  readonly origin: number;
  readonly count: number;
  readonly mean: number;
  /** -ln of the probability given to what came. */
  readonly logScore: number;
  readonly covered: boolean;
};

/** A part tried at the scored origins, and its finish from all of them. */
export type Trial = { readonly rows: readonly TriedRow[]; readonly finish: Finish };

/** Spread where nothing was foretold yet: a rate known to its doubt, episodes a little clustered. */
export const usualSpread: DoubtedSpread = { linear: 1.25, common: 0.1, own: 1 };

const COVERAGE = 0.9;
const LOWEST_LEVEL = 0.8;
const HIGHEST_LEVEL = 0.97;
const LEAST_ROWS = 200;
// The last four: older forecasts were made of less, and cost time.
const MOST_PAST = 4;

/**
 * Tries one part at each scored origin, finished by its own earlier forecasts.
 *
 * @param foretold - forecasts of the part, oldest first, none made with knowledge of its own outcome
 * @param start - spread used until the part has forecasts of its own
 */
export function tryPart(
  foretold: readonly Foretold[],
  { scored, start }: { scored: readonly number[]; start: DoubtedSpread },
): Trial {
  const rows: TriedRow[] = [];
  let spread = start;
  for (const one of foretold) {
    if (!scored.includes(one.origin)) continue;
    const finish = finishOf(
      foretold.filter(({ origin }) => origin < one.origin),
      spread,
    );
    spread = finish.spread;
    rows.push(...triedRows(one, finish));
  }
  return { rows, finish: finishOf(foretold, spread) };
}

/** Finish learned from the last past forecasts, oldest first; `start` and no recalibration where there are none. */
export function finishOf(all: readonly Foretold[], start: DoubtedSpread): Finish {
  const past = all.slice(-MOST_PAST);
  const recalibration = fitRecalibration(past, start);
  const right = past.map((one) => recalibrated(one, recalibration));
  const counts = right.flatMap((one) => one.counts);
  const means = right.flatMap((one) => one.means);
  const doubts = right.flatMap((one) => one.doubts);
  const spread = fitSpread({ counts, means, doubts }, start);
  const reached = counts.map((count, index) => {
    const mean = means[index] ?? 0;
    return levelReached(count, { mean, variance: spreadVariance(mean, spread, doubts[index] ?? 0) });
  });
  return { recalibration, spread, level: levelFor(reached) };
}

// Whole numbers cover more than they claim, so the level that covers 90 % in fact lies below 0.9 as a rule.
function levelFor(reached: readonly number[]): number {
  if (reached.length < LEAST_ROWS) return COVERAGE;
  const sorted = reached.toSorted((a, b) => a - b);
  const at = sorted[Math.min(sorted.length - 1, Math.floor(COVERAGE * sorted.length))] ?? COVERAGE;
  return Math.max(LOWEST_LEVEL, Math.min(HIGHEST_LEVEL, at + 1e-9));
}

function triedRows(one: Foretold, { recalibration, spread, level }: Finish): TriedRow[] {
  const right = recalibrated(one, recalibration);
  return right.counts.map((count, index) => {
    const mean = right.means[index] ?? 0;
    const moments = { mean, variance: spreadVariance(mean, spread, right.doubts[index] ?? 0) };
    return {
      detector: right.detectors[index] ?? 0,
      origin: one.origin,
      count,
      mean,
      logScore: -countLogProbability(count, moments),
      covered: levelReached(count, moments) < level,
    };
  });
}
