import { chiSquareUpper } from "@/lib/statistics/distributions";
import { solveSymmetric } from "@/lib/statistics/linear-solve";
import { entryTime, type RiskTable, riskTable, type Spell } from "@/lib/statistics/survival";

/** Log-rank comparison: events and expectation per group, variance of the first group's difference, chi-square. */
export type LogRank = {
  readonly observed: readonly number[];
  readonly expected: readonly number[];
  readonly variance: number;
  readonly chiSquare: number;
  readonly df: number;
  readonly p: number;
};

/**
 * Log-rank test that several groups of spells share one hazard.
 *
 * Null hypothesis: the same hazard in each group, spells independent. With few events the chi-square tail is too
 * small; use the exact observed-to-expected test there.
 *
 * @param groups - at least two lists of spells; late entry is respected
 * @returns degrees of freedom = groups - 1; without any event chiSquare 0 and p 1
 * @throws RangeError for fewer than two groups or an impossible spell
 * Source: Mantel (1966); Peto and Peto (1972), J. R. Statist. Soc. A 135, 185-207 (from memory).
 */
export function logRank(groups: readonly (readonly Spell[])[]): LogRank {
  if (groups.length < 2) throw new RangeError(`log-rank needs at least two groups: ${groups.length}`);
  const pooled = riskTable(groups.flat());
  const size = groups.length;
  const observed = groups.map((group) => group.filter((spell) => spell.event).length);
  const expected = new Array<number>(size).fill(0);
  const covariance = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  const atRiskIn = groups.map((group) => atRiskAt(group, pooled));
  for (const [i, d] of pooled.events.entries()) {
    const n = pooled.atRisk[i] ?? 0;
    const spread = n > 1 ? (d * (n - d)) / (n - 1) : 0;
    for (let g = 0; g < size; g++) {
      const share = (atRiskIn[g]?.[i] ?? 0) / n;
      expected[g] = (expected[g] ?? 0) + d * share;
      for (let h = 0; h < size; h++) {
        const row = covariance[g];
        if (row) row[h] = (row[h] ?? 0) + spread * share * ((g === h ? 1 : 0) - (atRiskIn[h]?.[i] ?? 0) / n);
      }
    }
  }
  const chiSquare = quadraticForm(observed, expected, covariance);
  const df = size - 1;
  return { observed, expected, variance: covariance[0]?.[0] ?? 0, chiSquare, df, p: chiSquareUpper(chiSquare, df) };
}

function atRiskAt(group: readonly Spell[], { time }: RiskTable): number[] {
  const starts = Float64Array.from(group, entryTime).sort();
  const stops = Float64Array.from(group, ({ stop }) => stop).sort();
  let entered = 0;
  let left = 0;
  return time.map((at) => {
    while (entered < starts.length && (starts[entered] ?? 0) < at) entered++;
    while (left < stops.length && (stops[left] ?? 0) < at) left++;
    return entered - left;
  });
}

// One group's difference follows from the others', so the last row and column are left out. Groups that were never
// at risk together with the others add nothing: their rows are zero and the solver skips them.
function quadraticForm(
  observed: readonly number[],
  expected: readonly number[],
  covariance: readonly number[][],
): number {
  const difference = observed.slice(0, -1).map((o, g) => o - (expected[g] ?? 0));
  const inner = covariance.slice(0, -1).map((row) => row.slice(0, -1));
  const solved = solveSymmetric(inner, difference);
  return solved.reduce((sum, x, g) => sum + x * (difference[g] ?? 0), 0);
}
