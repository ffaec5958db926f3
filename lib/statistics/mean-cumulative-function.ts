import { normalQuantile } from "@/lib/statistics/distributions";
import type { Span } from "@/lib/statistics/operational-time";

/** One unit: the spans (start, end] it was watched, and the moments of its events; one from 0 is at risk from 0. */
export type WatchedUnit = { readonly watched: readonly Span[]; readonly events: readonly number[] };

/**
 * Mean cumulative number of events per unit: distinct event times, units under watch, events, the estimate, its robust
 * standard error (units independent, events inside a unit not) and limits on the log and the plain scale.
 */
export type MeanCumulativeFunction = {
  readonly time: readonly number[];
  readonly atRisk: readonly number[];
  readonly events: readonly number[];
  readonly mean: readonly number[];
  readonly standardError: readonly number[];
  readonly standardErrorPoisson: readonly number[];
  readonly low: readonly number[];
  readonly high: readonly number[];
  readonly lowPlain: readonly number[];
  readonly highPlain: readonly number[];
};

/**
 * Mean cumulative function of recurrent events, sum of events / units under watch, with robust limits.
 *
 * Assumes that units leave the watch for reasons unrelated to their events. Events outside a unit's watch are left out.
 *
 * @param units - may be empty; no event gives empty lists
 * @param level - two-sided coverage of the limits, .95 unless told
 * @throws RangeError for an impossible level
 * Source: Nelson (1995), Technometrics 37, 147-157; Lawless and Nadeau (1995), 158-168 (from memory).
 * Cost: O(distinct times x units).
 */
export function meanCumulativeFunction(
  units: readonly WatchedUnit[],
  { level = 0.95 }: { level?: number } = {},
): MeanCumulativeFunction {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  const z = normalQuantile((1 + level) / 2);
  const counted = units.map((unit) => countedEvents(unit));
  const time = [...new Set(counted.flatMap((events) => [...events.keys()]))].sort((a, b) => a - b);
  const score = new Float64Array(units.length);
  const rows: Row[] = [];
  let mean = 0;
  let poisson = 0;
  for (const at of time) {
    const present = units.map((unit) => isWatched(unit, at));
    const atRisk = present.filter(Boolean).length;
    const events = counted.reduce((sum, own) => sum + (own.get(at) ?? 0), 0);
    mean += events / atRisk;
    poisson += events / (atRisk * atRisk);
    let variance = 0;
    for (let i = 0; i < units.length; i++) {
      if (present[i]) score[i] = (score[i] ?? 0) + ((counted[i]?.get(at) ?? 0) - events / atRisk) / atRisk;
      variance += (score[i] ?? 0) ** 2;
    }
    rows.push({ atRisk, events, mean, standardError: Math.sqrt(variance), standardErrorPoisson: Math.sqrt(poisson) });
  }
  return { time, ...asColumns(rows), ...limits(rows, z) };
}

type Row = { atRisk: number; events: number; mean: number; standardError: number; standardErrorPoisson: number };

function asColumns(rows: readonly Row[]) {
  return {
    atRisk: rows.map((row) => row.atRisk),
    events: rows.map((row) => row.events),
    mean: rows.map((row) => row.mean),
    standardError: rows.map((row) => row.standardError),
    standardErrorPoisson: rows.map((row) => row.standardErrorPoisson),
  };
}

function limits(rows: readonly Row[], z: number) {
  return {
    low: rows.map(({ mean, standardError }) => mean * Math.exp((-z * standardError) / mean)),
    high: rows.map(({ mean, standardError }) => mean * Math.exp((z * standardError) / mean)),
    lowPlain: rows.map(({ mean, standardError }) => mean - z * standardError),
    highPlain: rows.map(({ mean, standardError }) => mean + z * standardError),
  };
}

function isWatched({ watched }: WatchedUnit, at: number): boolean {
  return watched.some(([start, end]) => (start < at || start <= 0) && at <= end);
}

function countedEvents(unit: WatchedUnit): Map<number, number> {
  const counts = new Map<number, number>();
  for (const at of unit.events) if (isWatched(unit, at)) counts.set(at, (counts.get(at) ?? 0) + 1);
  return counts;
}
