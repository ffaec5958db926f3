import { awayOfFit, type DriftFit } from "@/lib/analyse/drift/fit";
import { thermalOf } from "@/lib/analyse/drift/thermal";
import { medianOf } from "@/lib/statistics/descriptive";

const SIDE_WEEKS = 4;
// Without a cleaning to judge by, a slow fall is mostly dirt: common practice knows few old emitters.
const DIRT_PRIOR = 0.8;
const DIRT_PRIOR_SD = 0.35;
// How much of the dirt a cleaning takes off is not known either: weights of what may be a detector's usual share.
const CLEANED = [
  { share: 0.5, weight: 0.1 },
  { share: 0.65, weight: 0.25 },
  { share: 0.8, weight: 0.4 },
  { share: 0.95, weight: 0.25 },
] as const;
// One cleaning is better or worse than the usual by a third, and now and then one is only written down.
const CLEANING_SPREAD = 1 / 3;
const TAIL_FREEDOM = 4;
const GRID = 20;

/**
 * Share of a detector's slow fall that is dirt, 0 to 1, from the jumps of the level at its cleanings against what had
 * fallen and what earlier cleanings had left: near 1 where cleaning mends it, near 0 for an ageing emitter.
 *
 * Over several cleanings as much comes off as has come on, however thorough they are, so what stays is told from what
 * a poor cleaning left. A visit that also realigned says nothing of the signal, since the level received then may
 * become the new 100 % whatever it was; of compensation it does.
 */
export function dirtShare(fits: readonly DriftFit[]): number {
  const falling = fits.filter(({ slope }) => slope > 0).map((fit) => ({ fit, cleanings: cleaningsOf(fit) }));
  const points = Array.from({ length: (GRID + 1) * CLEANED.length }, (_, index) => {
    const dirt = Math.floor(index / CLEANED.length) / GRID;
    const { share, weight } = CLEANED[index % CLEANED.length] ?? CLEANED[0];
    const prior = Math.log(weight) - 0.5 * ((dirt - DIRT_PRIOR) / DIRT_PRIOR_SD) ** 2;
    const known = falling.reduce((sum, one) => sum + likelihood(one, { dirt, cleaned: share }), prior);
    return { dirt, known };
  });
  const best = Math.max(...points.map(({ known }) => known));
  const weights = points.map(({ known }) => Math.exp(known - best));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return points.reduce((sum, { dirt }, index) => sum + dirt * (weights[index] ?? 0), 0) / total;
}

type Cleaning = {
  readonly day: number;
  readonly renewed: boolean;
  readonly gained: number | null;
  readonly se: number;
};

// Log-likelihood of the gains where so much of the fall is dirt and a cleaning takes so much of it off.
function likelihood(
  { fit, cleanings }: { fit: DriftFit; cleanings: readonly Cleaning[] },
  { dirt, cleaned }: { dirt: number; cleaned: number },
): number {
  let from = fit.prepared.weeks.day[0] ?? 0;
  let soil = 0;
  let sum = 0;
  for (const { day, renewed, gained, se } of cleanings) {
    soil += dirt * fit.slope * Math.max(0, day - from);
    from = day;
    const expected = cleaned * soil;
    const own = (CLEANING_SPREAD * expected) ** 2;
    let taken = expected;
    if (gained !== null) {
      const variance = se ** 2 + own;
      const apart = gained - expected;
      sum -= 0.5 * Math.log(variance) + 0.5 * (TAIL_FREEDOM + 1) * Math.log1p(apart ** 2 / (TAIL_FREEDOM * variance));
      taken += (own / variance) * apart;
    }
    soil = renewed ? 0 : Math.max(0, soil - taken);
  }
  return sum;
}

function cleaningsOf(fit: DriftFit): Cleaning[] {
  const { weeks, resets } = fit.prepared;
  const away = awayOfFit(fit);
  const level = weeks.value.map((value, row) => {
    const day = weeks.day[row] ?? 0;
    return value - thermalOf(fit.term, { day, awayC: away[row] ?? 0 });
  });
  const cleanings: Cleaning[] = [];
  const wander = fit.walkPerDay * SIDE_WEEKS * 7;
  const se = Math.sqrt((2 * 1.57 * fit.sd ** 2) / SIDE_WEEKS + wander);
  for (const { day, tasks } of resets) {
    const renewed = tasks.includes("replace");
    if (!renewed && !tasks.includes("clean")) continue;
    const other = renewed || (tasks.includes("realign") && fit.quantity === "signal");
    const before = other ? null : sideOf(fit, level, { day, to: -1 });
    const after = other ? null : sideOf(fit, level, { day, to: 1 });
    cleanings.push({ day, renewed, gained: before === null || after === null ? null : before - after, se });
  }
  return cleanings;
}

// Level on one side of a day, carried there along the slope; null without two weeks of readings within six.
function sideOf({ prepared, slope }: DriftFit, level: Float64Array, { day, to }: { day: number; to: -1 | 1 }) {
  const values: number[] = [];
  const { weeks } = prepared;
  for (let row = 0; row < weeks.day.length; row += 1) {
    const at = weeks.day[row] ?? 0;
    const apart = (at - day) * to;
    if (apart > 0 && apart <= (SIDE_WEEKS + 2) * 7) values.push((level[row] ?? 0) + slope * (day - at));
  }
  const near = to === -1 ? values.slice(-SIDE_WEEKS) : values.slice(0, SIDE_WEEKS);
  return near.length < 2 ? null : medianOf(near);
}
