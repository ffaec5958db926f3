import { awayOfFit, type DriftFit } from "@/lib/analyse/drift/fit";
import { thermalOf } from "@/lib/analyse/drift/thermal";
import { medianOf } from "@/lib/statistics/descriptive";

const SIDE_WEEKS = 4;
// Without a cleaning to judge by, a slow fall is mostly dirt: common practice knows few old emitters.
const DIRT_PRIOR = 0.8;
const DIRT_PRIOR_SD = 0.35;
// A usual cleaning takes off most of the dirt, not all of it, and now and then it is only written down.
const USUAL_CLEANING = 0.75;

/**
 * Share of a detector's slow fall that is dirt, 0 to 1, from the jumps of the level at its cleanings against what had
 * fallen since the one before: near 1 where cleaning mends it, near 0 for an ageing emitter.
 *
 * A visit that also realigned says nothing of the signal, since the level received then may become the new 100 %
 * whatever it was; of compensation it does.
 */
export function dirtShare(fits: readonly DriftFit[]): number {
  let precision = 1 / DIRT_PRIOR_SD ** 2;
  let sum = DIRT_PRIOR / DIRT_PRIOR_SD ** 2;
  for (const fit of fits) {
    if (fit.slope <= 0) continue;
    for (const { fell, gained, se } of cleaningsOf(fit)) {
      const whole = USUAL_CLEANING * fell;
      // How well one cleaning was done is not known: each is off by a third of what it should bring.
      const variance = se ** 2 + (whole / 3) ** 2;
      precision += whole ** 2 / variance;
      sum += (whole * gained) / variance;
    }
  }
  return Math.min(1, Math.max(0, sum / precision));
}

type Cleaning = { readonly fell: number; readonly gained: number; readonly se: number };

function cleaningsOf(fit: DriftFit): Cleaning[] {
  const { weeks, resets } = fit.prepared;
  const away = awayOfFit(fit);
  const level = weeks.value.map((value, row) => {
    const day = weeks.day[row] ?? 0;
    return value - thermalOf(fit.term, { day, awayC: away[row] ?? 0 });
  });
  const cleanings: Cleaning[] = [];
  let soiledFrom = weeks.day[0] ?? 0;
  for (const { day, tasks } of resets) {
    const other = tasks.some((task) => task === "replace" || (task === "realign" && fit.quantity === "signal"));
    if (tasks.includes("clean") && !other) {
      const before = sideOf(fit, level, { day, to: -1 });
      const after = sideOf(fit, level, { day, to: 1 });
      const fell = fit.slope * (day - soiledFrom);
      if (before !== null && after !== null && fell > 0) {
        const wander = fit.walkPerDay * SIDE_WEEKS * 7;
        cleanings.push({ fell, gained: before - after, se: Math.sqrt((2 * 1.57 * fit.sd ** 2) / SIDE_WEEKS + wander) });
      }
    }
    if (tasks.includes("clean") || tasks.includes("replace")) soiledFrom = day;
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
