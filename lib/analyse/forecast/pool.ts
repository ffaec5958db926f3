import type { Foretold, PartName } from "@/lib/analyse/forecast/foretold";
import type { DoubtedSpread } from "@/lib/statistics/overdispersed-count";
import { type CountSpread, ridgeCounts } from "@/lib/statistics/ridge-counts";

/** What the parts foretold of one origin's rows; parts that were not tried there are left out. */
export type PartForecasts = ReadonlyMap<PartName, Foretold>;

/** Log-linear pool of parts: even shares of the simple ones, moved by weights the past has earned. */
export type Pool = {
  /** What each part adds beside the even shares: its log mean less theirs, so many times. */
  readonly weights: readonly { readonly part: PartName; readonly weight: number }[];
  /** Slope of the even shares' log rate about `logCentre`, and what it is more below that. */
  readonly slope: number;
  readonly below: number;
  readonly logCentre: number;
};

/** The parts with even shares. */
export const evenParts: readonly PartName[] = ["own history", "history within its site", "by cause"];
const movingParts: readonly PartName[] = ["regression", "by cause", "long history"];
/** Events' worth of belief in even shares, and in the level, which is put right elsewhere. */
const BELIEF_EVENTS = 100;
const LEVEL_EVENTS = 20;
const SMALLEST = 1e-9;
/** Differences of logs below which a part is believed to say nothing of its own. */
const LEAST_SCALE = 0.25;
const FARTHEST_LOG = 2;

/**
 * Fits the pool to past forecasts of the parts: log mean = even shares + weights x (part - even shares) + slope, drawn
 * towards even shares by 100 events' worth of belief for each weight. So a small or quiet fleet keeps its simple forecast,
 * over-sharp means are pulled together, and a part gets weight only as far as the past bears it out.
 *
 * @param past - forecasts of past origins, made without knowledge of their outcome
 * @param spread - of counts around means: where events come in bursts, each weighs less
 * @returns even shares alone without any
 * Source: log-linear opinion pools (Genest and Zidek 1986, Statistical Science 1, 114-135), stacking (Wolpert 1992,
 * Neural Networks 5, 241-259); from memory.
 */
export function fitPool(past: readonly PartForecasts[], spread: DoubtedSpread): Pool {
  const tables = past.flatMap((parts) => tableOf(parts) ?? []);
  const logCentre = centreOf(tables);
  const scales = movingParts.map((_, column) => scaleOf(tables, column));
  const rows = {
    tables,
    logCentre,
    spread: { linear: spread.linear, quadratic: spread.common + spread.own * doubtOf(tables) },
  };
  const first = coefficients(rows, scales);
  // A regression that works against the rest is noise.
  const used = (first[1] ?? 0) < 0 ? scales.with(0, 0) : scales;
  const beta = used === scales ? first : coefficients(rows, used);
  const weights = movingParts.map((part, column) => {
    const scale = used[column] ?? 0;
    return { part, weight: scale > 0 ? (beta[column + 1] ?? 0) / scale : 0 };
  });
  return {
    weights,
    slope: 1 + (beta[movingParts.length + 1] ?? 0),
    below: beta[movingParts.length + 2] ?? 0,
    logCentre,
  };
}

// Intercept, one for each moving part over its scale (0: left out), slope and bend.
function coefficients(
  { tables, logCentre, spread }: { tables: readonly Table[]; logCentre: number; spread: CountSpread },
  scales: readonly number[],
): Float64Array {
  const x: number[] = [];
  const counts: number[] = [];
  const offset: number[] = [];
  for (const { even, apart, one } of tables) {
    for (const [row, base] of even.entries()) {
      for (const [column, scale] of scales.entries()) {
        x.push(scale > 0 ? (apart[column]?.[row] ?? 0) / scale : 0);
      }
      const z = base - Math.log(one.days[row] ?? 1) - logCentre;
      x.push(z, Math.min(0, z));
      counts.push(one.counts[row] ?? 0);
      offset.push(base);
    }
  }
  return ridgeCounts(
    {
      x: Float64Array.from(x),
      columns: movingParts.length + 2,
      counts: Float64Array.from(counts),
      offset: Float64Array.from(offset),
    },
    { penalty: BELIEF_EVENTS, interceptPenalty: LEVEL_EVENTS, spread },
  );
}

/** What a pool makes of the parts' forecasts of an origin's rows; null where no simple part is among them. */
export function pooled(parts: PartForecasts, { weights, slope, below, logCentre }: Pool): Foretold | null {
  const table = tableOf(parts);
  if (table === null) return null;
  const means = table.even.map((base, row) => {
    const z = base - Math.log(table.one.days[row] ?? 1) - logCentre;
    const moved = movingParts.reduce((sum, part, column) => {
      const weight = weights.find((one) => one.part === part)?.weight ?? 0;
      return sum + weight * (table.apart[column]?.[row] ?? 0);
    }, 0);
    const move = moved + (slope - 1) * z + below * Math.min(0, z);
    return Math.exp(base + Math.max(-FARTHEST_LOG, Math.min(FARTHEST_LOG, move)));
  });
  return { ...table.one, means };
}

/** Exponent of each part's mean in the pooled one, over the parts given; the bend of the slope is left out. */
export function exponentsOf({ weights, slope }: Pool, parts: ReadonlySet<PartName>): ReadonlyMap<PartName, number> {
  const exponents = new Map<PartName, number>();
  const add = (part: PartName, exponent: number) => exponents.set(part, (exponents.get(part) ?? 0) + exponent);
  let even = slope;
  for (const { part, weight } of weights) {
    if (!parts.has(part)) continue;
    add(part, weight);
    even -= weight;
  }
  const members = evenParts.filter((part) => parts.has(part));
  for (const part of members) add(part, even / members.length);
  return exponents;
}

type Table = {
  readonly one: Foretold;
  /** Log mean of the even shares, row by row. */
  readonly even: readonly number[];
  /** By moving part: its log mean less that of the even shares; empty where it was not tried. */
  readonly apart: readonly (readonly number[])[];
};

function tableOf(parts: PartForecasts): Table | null {
  const members = evenParts.flatMap((part) => parts.get(part) ?? []);
  const [one] = members;
  if (!one) return null;
  const logOf = ({ means }: Foretold, row: number) => Math.log(Math.max(SMALLEST, means[row] ?? 0));
  const even = one.means.map((_, row) => members.reduce((sum, part) => sum + logOf(part, row), 0) / members.length);
  const apart = movingParts.map((name) => {
    const part = parts.get(name);
    return part ? even.map((base, row) => logOf(part, row) - base) : [];
  });
  return { one, even, apart };
}

// Both weighed by expected events, as the fit is.
function centreOf(tables: readonly Table[]): number {
  let [weight, sum] = [0, 0];
  for (const { even, one } of tables) {
    for (const [row, base] of even.entries()) {
      const mean = Math.exp(base);
      weight += mean;
      sum += mean * (base - Math.log(one.days[row] ?? 1));
    }
  }
  return weight > 0 ? sum / weight : 0;
}

// Doubt of the rates, weighed by expected events.
function doubtOf(tables: readonly Table[]): number {
  let [weight, sum] = [0, 0];
  for (const { even, one } of tables) {
    for (const [row, base] of even.entries()) {
      const mean = Math.exp(base);
      weight += mean;
      sum += mean * (one.doubts[row] ?? 0);
    }
  }
  return weight > 0 ? sum / weight : 0;
}

function scaleOf(tables: readonly Table[], column: number): number {
  let [weight, squares] = [0, 0];
  for (const { even, apart } of tables) {
    const own = apart[column] ?? [];
    for (const [row, value] of own.entries()) {
      const mean = Math.exp(even[row] ?? 0);
      weight += mean;
      squares += mean * value * value;
    }
  }
  return squares > 0 ? Math.max(LEAST_SCALE, Math.sqrt(squares / weight)) : 0;
}
