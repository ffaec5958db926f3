import { type PreventiveTask, preventiveTasks } from "@/lib/rank/effects";
import type { AnalysisResult, RankedDetector } from "@/lib/rank/result";
import type { Settings } from "@/lib/settings/settings";
import { negativeBinomialQuantile } from "@/lib/statistics/distributions";
import { bestTrueVisit, type DetectorTruth, type TrueVisit, trueVisit } from "@/tests/adversary/truth";

/** A detector of the ranking beside its truth. */
export type Pair = {
  readonly ranked: RankedDetector;
  readonly truth: DetectorTruth;
  readonly best: TrueVisit;
  /** True worth of the task the ranking proposes. */
  readonly proposed: TrueVisit;
};

/** Joins a ranking and the truth, best visit first; detectors without a truth are left out. */
export function pairsOf(
  result: AnalysisResult,
  { truth, settings }: { truth: ReadonlyMap<string, DetectorTruth>; settings: Settings },
): Pair[] {
  return result.detectors.flatMap((ranked) => {
    const own = truth.get(ranked.detectorId);
    if (!own) return [];
    const best = bestTrueVisit(own, settings);
    return [{ ranked, truth: own, best, proposed: trueVisit(own, preventive(ranked.visit.task), settings) }];
  });
}

function preventive(task: string): PreventiveTask {
  const known = preventiveTasks.find((one) => one === task);
  if (!known) throw new RangeError(`not a preventive task: ${task}`);
  return known;
}

/** Sum of a figure over a list. */
export function total<Item>(items: readonly Item[], figure: (item: Item) => number): number {
  return items.reduce((sum, item) => sum + figure(item), 0);
}

/** Items of the largest figure first; of equals as they stood. */
export function largest<Item>(items: readonly Item[], figure: (item: Item) => number): Item[] {
  return [...items].sort((a, b) => figure(b) - figure(a));
}

/** A share, null where there is nothing to share. */
export function ratioOf(part: number, whole: number): number | null {
  return whole > 0 ? part / whole : null;
}

/** Ends of the 90 % interval of a count with a mean and variance: negative binomial, or Poisson where it is no wider. */
export function countInterval(mean: number, variance: number): { low: number; high: number } {
  if (mean <= 0) return { low: 0, high: 0 };
  const size = variance > mean * (1 + 1e-9) ? mean ** 2 / (variance - mean) : Infinity;
  return {
    low: negativeBinomialQuantile(0.05, { size, mean }),
    high: negativeBinomialQuantile(0.95, { size, mean }),
  };
}

/** Logarithm of the chance of a count under a negative binomial of a mean and variance. */
export function logChance(count: number, { mean, variance }: { mean: number; variance: number }): number {
  const bounded = Math.max(1e-6, mean);
  if (!(variance > bounded * 1.0001)) return count * Math.log(bounded) - bounded - logFactorial(count);
  const size = bounded ** 2 / (variance - bounded);
  let logGamma = 0;
  for (let index = 0; index < count; index += 1) logGamma += Math.log(size + index);
  return (
    logGamma -
    logFactorial(count) +
    size * Math.log(size / (size + bounded)) +
    count * Math.log(bounded / (size + bounded))
  );
}

function logFactorial(count: number): number {
  let sum = 0;
  for (let index = 2; index <= count; index += 1) sum += Math.log(index);
  return sum;
}

/** Ten parts of a list as even as can be. */
export function tenths<Item>(items: readonly Item[]): Item[][] {
  return Array.from({ length: 10 }, (_, index) =>
    items.slice(Math.floor((index * items.length) / 10), Math.floor(((index + 1) * items.length) / 10)),
  );
}
