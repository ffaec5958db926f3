import type { Cluster } from "@/lib/analyse/episodes";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import { fitGammaPoisson } from "@/lib/statistics/shrinkage";

/** Events of one detector and the time they were counted over. */
export type SeasonRecord = { readonly clusters: readonly Cluster[]; readonly exposure: readonly Span[] };

const LEAST_DAYS = 365;
const YEARS = 5;

/**
 * How many times its average rate each detector shows in the weeks of the year that the horizon covers.
 *
 * The detector's events in those weeks of earlier years are compared with what its own total and the fleet's season let
 * expect there. How far one detector may differ from the others is learned from the fleet: the factors are gamma
 * distributed, and each detector gets the mean after its own count. Where detectors do not differ, and for detectors
 * observed for less than a year, the factor is 1.
 *
 * @param fleetFactors - the fleet's season over the horizon for each detector
 */
export function ownSeasonFactors(
  records: readonly SeasonRecord[],
  { asOf, horizonDays, fleetFactors }: { asOf: number; horizonDays: number; fleetFactors: readonly number[] },
): number[] {
  const counted = records.map((record, index) =>
    countInSeason(record, { asOf, horizonDays, factor: fleetFactors[index] ?? 1 }),
  );
  const used = counted.filter((one) => one.expected > 0);
  if (horizonDays >= 365 || used.length < 2) return records.map(() => 1);
  const prior = fitGammaPoisson({ counts: used.map((one) => one.count), exposures: used.map((one) => one.expected) });
  if (prior.shape === Infinity || prior.method === "weak") return records.map(() => 1);
  return counted.map(({ count, expected }) => (prior.shape + count) / (prior.rate + expected) / prior.mean);
}

function countInSeason(
  { clusters, exposure }: SeasonRecord,
  { asOf, horizonDays, factor }: { asOf: number; horizonDays: number; factor: number },
): { count: number; expected: number } {
  const days = lengthOf(exposure) / DAY_MS;
  if (days < LEAST_DAYS) return { count: 0, expected: 0 };
  let count = 0;
  let inSeason = 0;
  for (let year = 1; year <= YEARS; year += 1) {
    const startAt = asOf - year * YEAR_MS;
    const window = { startAt, endAt: startAt + horizonDays * DAY_MS };
    inSeason += lengthOf(within(exposure, window)) / DAY_MS;
    count += clusters.filter(({ beganAt }) => beganAt >= window.startAt && beganAt < window.endAt).length;
  }
  return { count, expected: (clusters.length * factor * inSeason) / days };
}
