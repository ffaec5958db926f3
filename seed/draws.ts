import type { Chance } from "@/lib/kernel/chance";

/** Uniform number in [low, high). */
export function between(chance: Chance, low: number, high: number): number {
  return low + (high - low) * chance();
}

/** Whole number in low..high, both included. */
export function wholeBetween(chance: Chance, low: number, high: number): number {
  return low + Math.floor((high - low + 1) * chance());
}

/** One entry of a list; throws RangeError for an empty one. */
export function pick<Entry>(chance: Chance, list: readonly Entry[]): Entry {
  const entry = list[Math.floor(chance() * list.length)];
  if (entry === undefined) throw new RangeError("nothing to pick from");
  return entry;
}

/** One entry drawn by weight; weights are positive and need not add up to 1. */
export function pickWeighted<Entry>(chance: Chance, list: readonly (readonly [Entry, number])[]): Entry {
  const total = list.reduce((sum, [, weight]) => sum + weight, 0);
  let left = chance() * total;
  for (const [entry, weight] of list) {
    left -= weight;
    if (left < 0) return entry;
  }
  const last = list.at(-1);
  if (last === undefined) throw new RangeError("nothing to pick from");
  return last[0];
}

/** A list in random order (Fisher and Yates); the list given is left as it is. */
export function shuffled<Entry>(chance: Chance, list: readonly Entry[]): Entry[] {
  const left = [...list];
  const order: Entry[] = [];
  while (left.length > 0) {
    const [entry] = left.splice(Math.floor(chance() * left.length), 1);
    if (entry !== undefined) order.push(entry);
  }
  return order;
}

/** Standard normal number (Box and Muller). */
export function normal(chance: Chance): number {
  return Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}

/** Log-normal number with the given median; `spread` is the standard deviation of its logarithm. */
export function lognormal(chance: Chance, { median, spread }: { median: number; spread: number }): number {
  return median * Math.exp(spread * normal(chance));
}

/** Exponential number with the given mean. */
export function exponential(chance: Chance, mean: number): number {
  return -mean * Math.log(1 - chance());
}

/** Weibull number; a shape above 1 wears out. */
export function weibull(chance: Chance, { shape, scale }: { shape: number; scale: number }): number {
  return scale * (-Math.log(1 - chance())) ** (1 / shape);
}

/** Gamma number of mean 1 with the given shape > 0 (Marsaglia and Tsang 2000; shapes below 1 by their boost). */
export function gammaOfMeanOne(chance: Chance, shape: number): number {
  if (shape < 1) {
    const boost = (1 - chance()) ** (1 / shape);
    return (gammaOfMeanOne(chance, shape + 1) * (shape + 1) * boost) / shape;
  }
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normal(chance);
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(1 - chance()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return (d * v) / shape;
  }
}

/** Poisson count of a small mean (product of uniforms). */
export function poisson(chance: Chance, mean: number): number {
  const limit = Math.exp(-mean);
  let count = 0;
  let product = chance();
  while (product > limit) {
    count += 1;
    product *= chance();
  }
  return count;
}
