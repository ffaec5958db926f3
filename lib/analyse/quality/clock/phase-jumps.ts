import type { SitePhase } from "@/lib/analyse/quality/clock/site-phase";
import { medianInPlace, medianOfRange } from "@/lib/statistics/order-statistics";
import { theilSen } from "@/lib/statistics/slope";

/** A change of the place of readings in their step: between which days, by how many minutes, with a 95 % interval. */
export type PhaseJump = {
  readonly beforeDay: number;
  readonly day: number;
  readonly minutes: number;
  readonly low: number;
  readonly high: number;
};

/** A steady wander between two jumps, minutes in 30 days, with a 99 % interval. */
export type PhaseDrift = {
  readonly fromDay: number;
  readonly toDay: number;
  readonly perMonth: number;
  readonly low: number;
  readonly high: number;
};

const SIDE = 7;
const LEAST_SIDE = 3;
const IN_ONE_DAY = 0.6;
/** Smallest jump that is told, minutes. */
export const LEAST_JUMP_MIN = 5;
const SIGMAS = 6;
const QUIETEST_MIN = 0.25;
const LEAST_DRIFT_DAYS = 30;
const MOST_POINTS = 120;
const MONTH_DAYS = 30;

/**
 * Jumps of the phase, oldest first.
 *
 * A jump is a change between the medians of up to seven days on either side (at least three) of at least five minutes
 * and six times the noise of a day, 60 % of it between two neighbouring days with readings.
 */
export function phaseJumps({ day, minutes }: SitePhase): PhaseJump[] {
  const noise = noiseOf(minutes);
  const least = Math.max(LEAST_JUMP_MIN, SIGMAS * noise);
  const values = Float64Array.from(minutes);
  const jumps: PhaseJump[] = [];
  let from = 0;
  for (let row = 1; row + LEAST_SIDE <= values.length; row += 1) {
    if (row - from < LEAST_SIDE) continue;
    const once = (values[row] ?? 0) - (values[row - 1] ?? 0);
    if (Math.abs(once) < IN_ONE_DAY * least) continue;
    const left = Math.max(from, row - SIDE);
    const right = Math.min(values.length, row + SIDE);
    const change = (medianOfRange(values, row, right) ?? 0) - (medianOfRange(values, left, row) ?? 0);
    if (Math.abs(change) < least || once / change < IN_ONE_DAY) continue;
    const half = QUIETEST_MIN + 2 * 1.2533 * noise * Math.sqrt(1 / (row - left) + 1 / (right - row));
    jumps.push({
      beforeDay: day[row - 1] ?? 0,
      day: day[row] ?? 0,
      minutes: change,
      low: change - half,
      high: change + half,
    });
    from = row;
  }
  return jumps;
}

/** Stretches between jumps over which the phase wanders steadily by five minutes or more in all; oldest first. */
export function phaseDrifts({ day, minutes }: SitePhase, jumps: readonly PhaseJump[]): PhaseDrift[] {
  const cuts = [-Infinity, ...jumps.map((jump) => jump.day), Infinity];
  return cuts.slice(1).flatMap((until, index) => {
    const from = cuts[index] ?? -Infinity;
    const rows = day.flatMap((one, row) => (one >= from && one < until ? [row] : []));
    const drift = driftOf({ day: rows.map((row) => day[row] ?? 0), minutes: rows.map((row) => minutes[row] ?? 0) });
    return drift ? [drift] : [];
  });
}

function driftOf({ day, minutes }: SitePhase): PhaseDrift | null {
  const fromDay = day[0] ?? 0;
  const toDay = day.at(-1) ?? 0;
  if (day.length < LEAST_DRIFT_DAYS || toDay - fromDay < LEAST_DRIFT_DAYS) return null;
  const stride = Math.ceil(day.length / MOST_POINTS);
  const t = day.filter((_, row) => row % stride === 0);
  const y = minutes.filter((_, row) => row % stride === 0);
  const { slope, low, high, intercept } = theilSen({ t, y }, { level: 0.99 });
  if (slope === null || low === null || high === null || intercept === null || low * high <= 0) return null;
  const total = Math.abs(slope) * (toDay - fromDay);
  const off = Float64Array.from(t, (at, row) => Math.abs((y[row] ?? 0) - intercept - slope * at));
  // A wander that bends to and fro is no drift of the clock.
  const least = Math.max(LEAST_JUMP_MIN, SIGMAS * 1.4826 * (medianInPlace(off) ?? 0));
  if (total < least) return null;
  return { fromDay, toDay, perMonth: slope * MONTH_DAYS, low: low * MONTH_DAYS, high: high * MONTH_DAYS };
}

function noiseOf(minutes: readonly number[]): number {
  const changes = Float64Array.from(minutes.slice(1), (value, row) => value - (minutes[row] ?? 0));
  const middle = medianInPlace(changes) ?? 0;
  const spread = medianInPlace(changes.map((change) => Math.abs(change - middle))) ?? 0;
  return Math.max(QUIETEST_MIN, (1.4826 * spread) / Math.SQRT2);
}
