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
export const partNames = ["pooled rate", "own history", "history within its site", "by cause", "regression"] as const;
/** One of {@link partNames}. */
export type PartName = (typeof partNames)[number];

/** A forecast of an origin's rows from means of the plain parts; null where the part has none. */
export function plainForetold(
  rows: OriginRows,
  {
    origin,
    part,
    memories,
  }: {
    origin: number;
    part: Exclude<PartName, "regression">;
    memories: { readonly own: number; readonly site: number };
  },
): Foretold | null {
  const means: number[] = [];
  for (const [index, source] of rows.sources.entries()) {
    const days = rows.daysAhead[index] ?? 0;
    const { rates, known, season, byCause, daysAhead } = source;
    const seasonal = rates.size * season.factor * days;
    if (part === "pooled rate") means.push(known.fleetRate * known.fleetSize * days);
    else if (part === "own history") means.push((rates.flat[memories.own] ?? 0) * seasonal);
    else if (part === "history within its site") means.push((rates.shrunk[memories.site] ?? 0) * seasonal);
    else if (byCause === null || daysAhead <= 0) return null;
    else means.push(Math.max(1e-6, (byCause * days) / daysAhead));
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
