import type { DetectorHistory } from "@/lib/analyse/history";
import { operationalTimes } from "@/lib/statistics/operational-time";
import { laplaceTest } from "@/lib/statistics/trend";

const PARTS = 6;
const LEAST_EVENTS = 4;
const LEAST_FREEDOM = 100;
const TRENDING_Z = 2.33;

/**
 * Variance of fault clusters within detectors against chance: 1 for a Poisson process, more where bad spells last.
 *
 * Each detector's time at risk is cut in six equal parts and its counts are compared with an even spread; detectors
 * with a trend of their own (the strongest hundredth on either side) are left out, as a trend is what is looked for.
 * 1 where fewer than 100 degrees of freedom are there to tell, and never below 1.
 */
export function withinDispersion(histories: readonly DetectorHistory[]): number {
  let chiSquare = 0;
  let freedom = 0;
  for (const { exposure, faultClusters, asOf } of histories) {
    if (faultClusters.length < LEAST_EVENTS) continue;
    const { u } = operationalTimes({
      inService: exposure.faultRisk.map(({ startAt, endAt }) => [startAt, endAt] as const),
      events: faultClusters.map(({ beganAt }) => beganAt),
      asOf,
    });
    const { z } = laplaceTest(u);
    if (z === null || Math.abs(z) > TRENDING_Z) continue;
    const counts = new Array<number>(PARTS).fill(0);
    for (const time of u) {
      const part = Math.min(PARTS - 1, Math.floor(time * PARTS));
      counts[part] = (counts[part] ?? 0) + 1;
    }
    const expected = u.length / PARTS;
    chiSquare += counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
    freedom += PARTS - 1;
  }
  return freedom < LEAST_FREEDOM ? 1 : Math.max(1, chiSquare / freedom);
}
