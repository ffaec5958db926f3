/** Inks of the cost scale, straw to plum. */
const inks = ["var(--cost-1)", "var(--cost-2)", "var(--cost-3)", "var(--cost-4)", "var(--cost-5)"] as const;

/** Step 1..5 of an expected cost on the scale that ends at the highest one; 1 when there is none. */
export function costStep(cost: number, highest: number): number {
  if (!(highest > 0)) return 1;
  return Math.min(5, Math.max(1, Math.ceil((cost / highest) * 5)));
}

/** Ink of a step 1..5. */
export function costInk(step: number): string {
  return inks[Math.min(5, Math.max(1, step)) - 1] ?? inks[0];
}
