/** Events of members against what the fleet's rate lets expect of them, and the group of each. */
export type GroupedCounts = {
  readonly counts: readonly number[];
  readonly expected: readonly number[];
  readonly groups: readonly string[];
};

/** By group: how many times the expected events its members give; and how much groups differ (variance of factors). */
export type GroupFactors = { readonly factors: ReadonlyMap<string, number>; readonly variance: number };

/**
 * Factors of groups (sites, environments) by linear credibility: each group's own ratio drawn towards 1 as far as
 * chance and the differences between its members explain it.
 *
 * @param memberVariance - variance of rates between members over the square of their mean
 * @returns factor 1 for all where groups differ no more than chance lets them
 * Source: Bühlmann and Straub (1970), credibility (from memory); variance by moments.
 */
export function groupFactors(
  { counts, expected, groups }: GroupedCounts,
  { memberVariance }: { memberVariance: number },
): GroupFactors {
  const sums = new Map<string, { count: number; mean: number; chance: number }>();
  for (const [index, group] of groups.entries()) {
    const sum = sums.get(group) ?? { count: 0, mean: 0, chance: 0 };
    const mean = expected[index] ?? 0;
    sum.count += counts[index] ?? 0;
    sum.mean += mean;
    sum.chance += mean + memberVariance * mean * mean;
    sums.set(group, sum);
  }
  let [excess, scale] = [0, 0];
  for (const { count, mean, chance } of sums.values()) {
    excess += (count - mean) ** 2 - chance;
    scale += mean ** 2;
  }
  const variance = sums.size < 3 || scale === 0 ? 0 : Math.max(0, excess / scale);
  const factors = new Map(
    [...sums].map(([group, { count, mean, chance }]) => {
      const weight = mean === 0 ? 0 : (variance * mean ** 2) / (variance * mean ** 2 + chance);
      return [group, mean === 0 ? 1 : Math.max(0.05, 1 + weight * (count / mean - 1))] as const;
    }),
  );
  return { factors, variance };
}
