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
  "by cause",
  "regression",
  "blend",
] as const;
/** One of {@link partNames}. */
export type PartName = (typeof partNames)[number];

/** A part that is not learned from what came. */
export type PlainPart = Exclude<PartName, "regression" | "blend">;

/** The parts a blend is made of, where they are there. */
export const blended: readonly PartName[] = ["history within its site", "by cause", "regression"];

/** Blend of forecasts of the same rows: the geometric mean of their means; null for none. */
export function blendOf(members: readonly Foretold[]): Foretold | null {
  const [first] = members;
  if (!first) return null;
  const means = first.means.map((_, index) =>
    Math.exp(
      members.reduce((sum, { means: own }) => sum + Math.log(Math.max(SMALLEST, own[index] ?? 0)), 0) / members.length,
    ),
  );
  return { ...first, means };
}

const SMALLEST = 1e-9;

/** A forecast of an origin's rows from means of the plain parts; null where the part has none. */
export function plainForetold(
  rows: OriginRows,
  {
    origin,
    part,
    memories,
  }: {
    origin: number;
    part: PlainPart;
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
