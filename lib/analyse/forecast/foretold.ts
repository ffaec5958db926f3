import type { OriginRows } from "@/lib/analyse/forecast/origin-rows";

/** What was foretold at one origin, and what came: one entry for each of its rows. */
export type Foretold = {
  /** Position of the origin, 0 is the oldest. */
  readonly origin: number;
  readonly detectors: readonly number[];
  readonly counts: readonly number[];
  readonly means: readonly number[];
  /** Days of usual season the means stand for. */
  readonly days: readonly number[];
  /** How well each detector's own rate is known: variance of the rate over its square. */
  readonly doubts: readonly number[];
};

/** The ways of forecasting that are tried against each other, from the plainest on. */
export const partNames = [
  "pooled rate",
  "own history",
  "history within its site",
  "long history",
  "by cause",
  "regression",
  "blend",
] as const;
/** One of {@link partNames}. */
export type PartName = (typeof partNames)[number];

/** A part that is not learned from what came. */
export type PlainPart = Exclude<PartName, "regression" | "blend">;

/** The parts that are not learned from what came, in the order of {@link partNames}. */
export const plainParts: readonly PlainPart[] = partNames.filter(
  (part): part is PlainPart => part !== "regression" && part !== "blend",
);

const SMALLEST_MEAN = 1e-5;
// Positions in the memories of known rates: a year, three years.

const YEAR = 2;
const LONG = 3;

/** A forecast of an origin's rows from means of a plain part; null where the part has none. */
export function plainForetold(
  rows: OriginRows,
  { origin, part }: { origin: number; part: PlainPart },
): Foretold | null {
  const means: number[] = [];
  for (const [index, source] of rows.sources.entries()) {
    const days = rows.daysAhead[index] ?? 0;
    const { rates, known, season, byCause, daysAhead } = source;
    const seasonal = rates.size * season.factor * days;
    if (part === "pooled rate") means.push(known.fleetRate * known.fleetSize * days);
    else if (part === "own history") means.push((rates.flat[LONG] ?? 0) * seasonal);
    else if (part === "history within its site") means.push((rates.shrunk[YEAR] ?? 0) * seasonal);
    else if (part === "long history") means.push((rates.shrunk[LONG] ?? 0) * seasonal);
    else if (byCause === null || daysAhead <= 0) return null;
    else means.push(Math.max(SMALLEST_MEAN, (byCause * days) / daysAhead));
  }
  return foretold(rows, { origin, means });
}

/** A forecast of an origin's rows with given means. */
export function foretold(rows: OriginRows, { origin, means }: { origin: number; means: readonly number[] }): Foretold {
  return {
    origin,
    detectors: rows.detectors,
    counts: rows.counts,
    means,
    days: rows.daysAhead,
    doubts: rows.sources.map(({ baseDoubt }) => baseDoubt),
  };
}
