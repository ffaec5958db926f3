import { type FleetSeason, intensityAt, type SeasonShape, seasonAngle, seasonOfAll } from "@/lib/analyse/fleet-season";
import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

/** The fleet's season as weights of days: 1 on average over a year. */
export type YearWeights = {
  /** Days of usual intensity in the spans. */
  readonly weighed: (spans: readonly Span[], south: boolean) => number;
  /** Mean weight of the past of a moment, each day weighed by exp(-age / tauDays). */
  readonly past: (at: number, options: { readonly tauDays: number; readonly south: boolean }) => number;
};

const EVEN: YearWeights = {
  weighed: (spans) => spans.reduce((sum, { startAt, endAt }) => sum + (endAt - startAt) / DAY_MS, 0),
  past: () => 1,
};

/**
 * Weights of the days from `startAt` to `endAt` by the season of the whole fleet; all 1 where it has none.
 *
 * Spans must lie between the two moments.
 */
export function yearWeights(season: FleetSeason, { startAt, endAt }: Span): YearWeights {
  const shape = seasonOfAll(season);
  if (shape === null || !(endAt > startAt)) return EVEN;
  const firstDay = Math.floor(startAt / DAY_MS);
  const days = Math.ceil(endAt / DAY_MS) - firstDay + 1;
  const north = dayWeights(shape, { firstDay, days, south: false });
  const south = dayWeights(shape, { firstDay, days, south: true });
  const sums = { north: cumulated(north), south: cumulated(south) };
  const upTo = (of: Float64Array, at: number) => {
    const position = Math.max(0, Math.min(days - 1e-9, at / DAY_MS - firstDay));
    const day = Math.floor(position);
    const before = of[day] ?? 0;
    return before + (position - day) * ((of[day + 1] ?? before) - before);
  };
  return {
    weighed: (spans, isSouth) => {
      const of = isSouth ? sums.south : sums.north;
      return spans.reduce((sum, span) => sum + upTo(of, span.endAt) - upTo(of, span.startAt), 0);
    },
    past: (at, { tauDays, south: isSouth }) => {
      const of = isSouth ? south : north;
      const last = Math.min(days, Math.floor(at / DAY_MS) - firstDay);
      let [sum, total] = [0, 0];
      for (let day = 0; day < last; day++) {
        const weight = Math.exp((day - last) / tauDays);
        sum += weight * (of[day] ?? 1);
        total += weight;
      }
      return total > 0 ? sum / total : 1;
    },
  };
}

type Days = { readonly firstDay: number; readonly days: number; readonly south: boolean };

function dayWeights(shape: SeasonShape, { firstDay, days, south }: Days): Float64Array {
  const square = (shape.a ** 2 + shape.b ** 2) / 4;
  // Mean of exp(a cos + b sin) over a whole year: the first terms of the Bessel function I0.
  const yearMean = 1 + square + square ** 2 / 4 + square ** 3 / 36;
  return Float64Array.from(
    { length: days },
    (_, day) => intensityAt(shape, seasonAngle((firstDay + day + 0.5) * DAY_MS, south)) / yearMean,
  );
}

function cumulated(weights: Float64Array): Float64Array {
  const sums = new Float64Array(weights.length + 1);
  for (let day = 0; day < weights.length; day++) sums[day + 1] = (sums[day] ?? 0) + (weights[day] ?? 0);
  return sums;
}
