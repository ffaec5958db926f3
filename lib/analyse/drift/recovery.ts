import { awayOfFit, type DriftFit } from "@/lib/analyse/drift/fit";
import { thermalOf } from "@/lib/analyse/drift/thermal";
import { medianOf } from "@/lib/statistics/descriptive";

const SIDE_WEEKS = 4;
// Without a cleaning to judge by, a slow fall is dirt four times out of five: common practice knows few old emitters.
const SOILING_PRIOR = 0.8;
const PRIOR_SD = 0.45;

/**
 * Chance that cleaning mends a detector's slow fall, from the jumps of the level at its cleanings against what had
 * fallen since the one before: near 1 for dirt, near 0 for an ageing emitter.
 *
 * A visit that also realigned says nothing, since the level received then becomes the new 100 % whatever it was; on
 * compensation it does.
 */
export function recoveryOf(fits: readonly DriftFit[]): number {
  let evidence = 0;
  for (const fit of fits) {
    if (fit.slope <= 0) continue;
    for (const { fell, gained, se } of cleaningsOf(fit)) {
      // Twice the log of the likelihood of "all of it was mended" over "none of it".
      const spread = Math.hypot(se, PRIOR_SD * fell);
      evidence += ((gained / spread) ** 2 - ((gained - fell) / spread) ** 2) / 2;
    }
  }
  const odds = (SOILING_PRIOR / (1 - SOILING_PRIOR)) * Math.exp(Math.max(-30, Math.min(30, evidence)));
  return odds / (1 + odds);
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
    if (tasks.includes("clean") || other) soiledFrom = day;
  }
  return cleanings;
}

// Level on one side of a day, carried there along the slope; null without two weeks of readings within six.
function sideOf({ prepared, slope }: DriftFit, level: Float64Array, { day, to }: { day: number; to: -1 | 1 }) {
  const values: number[] = [];
  const { weeks } = prepared;
  for (const [row, at] of weeks.day.entries()) {
    const apart = (at - day) * to;
    if (apart > 0 && apart <= (SIDE_WEEKS + 2) * 7) values.push((level[row] ?? 0) + slope * (day - at));
  }
  const near = to === -1 ? values.slice(-SIDE_WEEKS) : values.slice(0, SIDE_WEEKS);
  return near.length < 2 ? null : medianOf(near);
}
