import { type Prepared, seriesFor, type Terms } from "@/lib/analyse/drift/design";
import type { DriftFit } from "@/lib/analyse/drift/fit";
import { fitLocalLevel } from "@/lib/statistics/local-level";

const LEAST_HALF_WEEKS = 26;
const LEAST_VARIANCE = 1e-8;
// Without a second half to check it on, what a term explains of the weeks it was fitted to is worth this much.
const UNCHECKED = 0.5;

/**
 * Share of the movement inside recorded holds that heat and season foretell: their coefficients are fitted on one half
 * of the record and explain the other, the slope taken off. Jumps and wandering of a mount are not foretold.
 *
 * @returns 0 to 1; half of what is explained within the sample where a half is shorter than 26 weeks
 */
export function thermalShare({ prepared, terms, filtered }: DriftFit): number {
  const leastVariance = LEAST_VARIANCE;
  const ratio = filtered.walkVariance / filtered.noiseVariance;
  const count = prepared.weeks.value.length;
  const halves = [
    { from: 0, to: count >> 1 },
    { from: count >> 1, to: count },
  ] as const;
  const whole = { from: 0, to: count };
  if (count >> 1 < LEAST_HALF_WEEKS || (!terms.temperature && count < 104)) {
    return UNCHECKED * explained(prepared, { terms, coefficients: filtered.coefficients, rows: whole }).share;
  }
  const [first, second] = halves;
  const parts = [
    { fitted: first, judged: second },
    { fitted: second, judged: first },
  ].map(({ fitted, judged }) => {
    const series = seriesFor(prepared, { terms, seasonSd: Infinity, rows: fitted });
    const fit = fitLocalLevel(series, { ratio, leastVariance });
    // The slope is no movement: it is taken from the whole record.
    const coefficients = [filtered.coefficients[0] ?? 0, ...(fit?.coefficients.slice(1) ?? [])];
    return fit === null ? { left: 1, all: 1 } : explained(prepared, { terms, coefficients, rows: judged });
  });
  const left = parts.reduce((sum, part) => sum + part.left, 0);
  const all = parts.reduce((sum, part) => sum + part.all, 0);
  return all > 0 ? Math.max(0, 1 - left / all) : 0;
}

function explained(
  prepared: Prepared,
  { terms, coefficients, rows }: { terms: Terms; coefficients: readonly number[]; rows: { from: number; to: number } },
) {
  const series = seriesFor(prepared, { terms, seasonSd: Infinity, rows });
  const { hold } = prepared.weeks;
  const [slope = 0, ...heat] = coefficients;
  const [time, ...columns] = series.columns;
  let all = 0;
  let left = 0;
  for (let from = 0; from < series.y.length; ) {
    let to = from + 1;
    while (to < series.y.length && hold[rows.from + to] === hold[rows.from + from]) to += 1;
    const level = series.y.subarray(from, to).map((value, row) => value - slope * (time?.[from + row] ?? 0));
    const thermal = level.map((_, row) =>
      heat.reduce((sum, one, index) => sum + one * (columns[index]?.[from + row] ?? 0), 0),
    );
    all += squaresAbout(level);
    left += squaresAbout(level.map((value, row) => value - (thermal[row] ?? 0)));
    from = to;
  }
  return { all, left, share: all > 0 ? Math.max(0, 1 - left / all) : 0 };
}

function squaresAbout(values: Float64Array): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
}
