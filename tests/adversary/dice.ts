import type { Chance } from "@/lib/kernel/chance";

/** A standard normal number, by the polar form of Box and Muller without its second half. */
export function normal(chance: Chance): number {
  return Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}

/** A rough normal number from three uniforms, for noise where speed counts. */
export function roughNormal(chance: Chance): number {
  return 2 * (chance() + chance() + chance() - 1.5);
}

/** A log-normal number with the given median and spread of its logarithm. */
export function logNormal(chance: Chance, { median, spread }: { median: number; spread: number }): number {
  return median * Math.exp(spread * normal(chance));
}

/** A number between two bounds. */
export function between(chance: Chance, low: number, high: number): number {
  return low + (high - low) * chance();
}

/** A Poisson count of a small mean. */
export function poisson(chance: Chance, mean: number): number {
  if (mean <= 0) return 0;
  let product = chance();
  // exp(-m) is above 1 - m, so most draws of a rare event end here.
  if (product <= 1 - mean) return 0;
  const floor = Math.exp(-mean);
  let count = 0;
  while (product > floor && count < 50) {
    count += 1;
    product *= chance();
  }
  return count;
}

/** The place of a draw among weights; the last one when all are 0. */
export function pickIndex(chance: Chance, weights: ArrayLike<number>): number {
  let total = 0;
  for (let index = 0; index < weights.length; index += 1) total += weights[index] ?? 0;
  let rest = chance() * total;
  for (let index = 0; index < weights.length; index += 1) {
    rest -= weights[index] ?? 0;
    if (rest < 0) return index;
  }
  return weights.length - 1;
}

/** One of a list that is not empty. */
export function pick<const Item>(chance: Chance, items: readonly Item[]): Item {
  const item = items[Math.floor(chance() * items.length)];
  if (item === undefined) throw new RangeError("nothing to pick from");
  return item;
}
