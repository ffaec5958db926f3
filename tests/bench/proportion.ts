import { betaQuantile } from "@/lib/statistics/distributions";

/** A share of counted things with its exact 95 % interval; share null where nothing was counted. */
export type Proportion = {
  readonly count: number;
  readonly of: number;
  readonly share: number | null;
  readonly low: number;
  readonly high: number;
};

/** Clopper-Pearson interval by beta quantiles; 0 to 1 where nothing was counted. */
export function proportionOf(count: number, of: number): Proportion {
  return {
    count,
    of,
    share: of > 0 ? rounded(count / of) : null,
    low: count > 0 ? rounded(betaQuantile(0.025, { a: count, b: of - count + 1 })) : 0,
    high: count < of ? rounded(betaQuantile(0.975, { a: count + 1, b: of - count })) : 1,
  };
}

/** Four significant digits, so that lines stay readable and the same on every machine. */
export function rounded(value: number): number {
  return Number(value.toPrecision(4));
}
