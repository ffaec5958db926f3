import { features } from "@/lib/analyse/forecast/features";
import { type Foretold, foretold } from "@/lib/analyse/forecast/foretold";
import type { OriginRows } from "@/lib/analyse/forecast/origin-rows";
import { countLogProbability } from "@/lib/statistics/overdispersed-count";
import { ridgeCounts, ridgePredictions } from "@/lib/statistics/ridge-counts";

/** Regression fitted on rows of past origins: standardised features and their effects on the log of the mean. */
export type CountRegression = {
  readonly centres: Float64Array;
  readonly scales: Float64Array;
  /** Intercept, then one for each of the features. */
  readonly beta: Float64Array;
  readonly penalty: number;
};

const COLUMNS = features.length;
const PENALTIES = [300, 75] as const;
const INTERCEPT_PENALTY = 5;
const SPREAD = { linear: 1.4, quadratic: 0.5 };
const FARTHEST_SD = 4;

/**
 * Trains on the rows before each scored origin and foretells it, then trains on all; null without rows.
 *
 * How strongly effects are drawn towards the plain forecast is chosen by log score, at each origin from those scored
 * before it alone.
 *
 * @param origins - oldest first
 */
export function trainRegression(
  origins: readonly OriginRows[],
  { scored }: { scored: readonly number[] },
): { regression: CountRegression; foretold: Foretold[] } | null {
  if (origins.length === 0) return null;
  const { centres, scales } = standardOf(origins);
  const tables = origins.map((rows) => tableOf(rows, { centres, scales }));
  const sums = PENALTIES.map(() => 0);
  const starts: (Float64Array | undefined)[] = PENALTIES.map(() => undefined);
  const predictions: Foretold[] = [];
  for (const [origin, rows] of origins.entries()) {
    if (!scored.includes(origin)) continue;
    const known = joined(tables.slice(0, origin));
    const table = tables[origin];
    if (!table) continue;
    const chosen = bestOf(sums);
    for (const [index, penalty] of PENALTIES.entries()) {
      const start = starts[index] ?? starts[index - 1];
      const beta = fitted(known, { penalty, start });
      starts[index] = beta;
      const means = Array.from(ridgePredictions(table, beta), Math.exp);
      sums[index] = (sums[index] ?? 0) + scoreOf(rows.counts, means);
      if (index === chosen) predictions.push(foretold(rows, { origin, means }));
    }
  }
  const best = bestOf(sums);
  const penalty = PENALTIES[best] ?? PENALTIES[0];
  const beta = fitted(joined(tables), { penalty, start: starts[best] });
  return { regression: { centres, scales, beta, penalty }, foretold: predictions };
}

function fitted(table: Table, { penalty, start }: { penalty: number; start: Float64Array | undefined }): Float64Array {
  const options = { penalty, interceptPenalty: INTERCEPT_PENALTY, spread: SPREAD };
  return ridgeCounts(table, start ? { ...options, start } : options);
}

/** Means of an origin's rows under a regression. */
export function regressionMeans(rows: OriginRows, regression: CountRegression): number[] {
  return Array.from(ridgePredictions(tableOf(rows, regression), regression.beta), Math.exp);
}

/** Effect of each feature on the log of one row's mean, beside the usual detector. */
export function contributions(rows: OriginRows, index: number, regression: CountRegression): number[] {
  return features.map((_, column) => {
    const value = standardised(rows.x[index * COLUMNS + column] ?? Number.NaN, column, regression);
    return value * (regression.beta[column + 1] ?? 0);
  });
}

// No score yet: the strongest pull towards the plain forecast.
function bestOf(sums: readonly number[]): number {
  return sums.indexOf(Math.max(...sums));
}

function scoreOf(counts: readonly number[], means: readonly number[]): number {
  return counts.reduce((sum, count, index) => {
    const mean = means[index] ?? 0;
    const variance = SPREAD.linear * mean + SPREAD.quadratic * mean * mean;
    return sum + countLogProbability(count, { mean, variance });
  }, 0);
}

type Table = { x: Float64Array; columns: number; counts: Float64Array; offset: Float64Array };

function tableOf(rows: OriginRows, standard: Pick<CountRegression, "centres" | "scales">): Table {
  return {
    x: rows.x.map((value, position) => standardised(value, position % COLUMNS, standard)),
    columns: COLUMNS,
    counts: Float64Array.from(rows.counts),
    offset: Float64Array.from(rows.sources, ({ baseRate }, index) => Math.log(baseRate * (rows.daysAhead[index] ?? 1))),
  };
}

function joined(tables: readonly Table[]): Table {
  const join = (parts: readonly Float64Array[]) => {
    const whole = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
    let from = 0;
    for (const part of parts) {
      whole.set(part, from);
      from += part.length;
    }
    return whole;
  };
  return {
    x: join(tables.map(({ x }) => x)),
    columns: COLUMNS,
    counts: join(tables.map(({ counts }) => counts)),
    offset: join(tables.map(({ offset }) => offset)),
  };
}

// A value nobody can tell counts as the usual one; a far one no further than four deviations.
function standardised(
  value: number,
  column: number,
  { centres, scales }: Pick<CountRegression, "centres" | "scales">,
): number {
  const scale = scales[column] ?? 0;
  if (Number.isNaN(value) || scale === 0) return 0;
  return Math.max(-FARTHEST_SD, Math.min(FARTHEST_SD, (value - (centres[column] ?? 0)) / scale));
}

function standardOf(origins: readonly OriginRows[]): Pick<CountRegression, "centres" | "scales"> {
  const centres = new Float64Array(COLUMNS);
  const scales = new Float64Array(COLUMNS);
  for (let column = 0; column < COLUMNS; column++) {
    let [n, sum, squares] = [0, 0, 0];
    for (const { x } of origins) {
      for (let at = column; at < x.length; at += COLUMNS) {
        const value = x[at] ?? Number.NaN;
        if (Number.isNaN(value)) continue;
        n += 1;
        sum += value;
        squares += value * value;
      }
    }
    const centre = n > 0 ? sum / n : 0;
    const variance = n > 1 ? squares / n - centre * centre : 0;
    centres[column] = centre;
    scales[column] = variance > 1e-9 * (1 + centre * centre) ? Math.sqrt(variance) : 0;
  }
  return { centres, scales };
}
