import type { Cluster } from "@/lib/analyse/episodes";
import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";

const FROM_DAYS = 8;
const TO_DAYS = 45;
const YEAR_DAYS = 365;
// Beyond chance at about 1 %, one-sided.
const VISIBLE_Z = 2.33;
const LEAST_DETECTORS = 10;

/**
 * How much more the alarms of a detector vary than independent ones would, because they come in bad spells of weeks:
 * variance over chance, at least 1; 1 where the fleet shows no such spells.
 *
 * Within each detector, pairs of clusters 8 to 45 days apart are set against pairs a year less or more than that apart:
 * a season, the fleet's or its own, makes both alike, while bad spells make only the former. An event of a cluster
 * process varies by 1 plus its mean number of companions. Every detector has the same weight.
 */
export function alarmDispersion(histories: readonly DetectorHistory[]): number {
  const companions: number[] = [];
  for (const { alarmClusters, exposure } of histories) {
    const first = exposure.observed[0]?.startAt ?? 0;
    const watchedDays = ((exposure.observed.at(-1)?.endAt ?? 0) - first) / DAY_MS;
    if (alarmClusters.length < 2 || watchedDays <= YEAR_DAYS + TO_DAYS) continue;
    companions.push((2 * excessPairs(alarmClusters, watchedDays)) / alarmClusters.length);
  }
  const sum = companions.reduce((total, one) => total + one, 0);
  const squares = companions.reduce((total, one) => total + one * one, 0);
  const visible = companions.length >= LEAST_DETECTORS && sum > VISIBLE_Z * Math.sqrt(squares);
  return visible ? 1 + sum / companions.length : 1;
}

// Pairs a short time apart less what the pairs about a year apart let expect, given how much watch each lag had.
function excessPairs(clusters: readonly Cluster[], watchedDays: number): number {
  let short = 0;
  let yearly = 0;
  for (const [index, { beganAt }] of clusters.entries()) {
    for (let later = index + 1; later < clusters.length; later += 1) {
      const lag = ((clusters[later]?.beganAt ?? 0) - beganAt) / DAY_MS;
      if (lag >= FROM_DAYS && lag < TO_DAYS) short += 1;
      const beyond = Math.abs(lag - YEAR_DAYS);
      if (beyond >= FROM_DAYS && beyond < TO_DAYS) yearly += 1;
    }
  }
  return short - (yearly / 2) * ((watchedDays - (FROM_DAYS + TO_DAYS) / 2) / (watchedDays - YEAR_DAYS));
}
