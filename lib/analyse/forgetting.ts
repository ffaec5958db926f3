import type { SeasonRecord } from "@/lib/analyse/own-season";
import { lengthOf, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { negativeBinomialLogPmf } from "@/lib/statistics/distributions";
import { exponentialForgetting } from "@/lib/statistics/exponential-forgetting";
import type { FittedPrior } from "@/lib/statistics/shrinkage";

const CANDIDATES_DAYS = [120, 180, 365, 730] as const;
const USUAL_DAYS = 365;
const CUTS_DAYS = [90, 180, 270] as const;
const AHEAD_DAYS = 90;
const LEAST_EVENTS = 100;

/**
 * How fast the past is forgotten, in days: the candidate that would have forecast the last three quarters best.
 *
 * At each of three earlier moments every candidate forecasts the next 90 days from what lay before, and the sums of log
 * scores decide. 365 days where the fleet had fewer than 100 events in those quarters.
 *
 * @param priorOf - prior of the fleet's rates as known at a moment
 */
export function chooseForgetting(
  records: readonly SeasonRecord[],
  { asOf, priorOf }: { asOf: number; priorOf: (records: readonly SeasonRecord[], asOf: number) => FittedPrior },
): number {
  const scores = CANDIDATES_DAYS.map(() => 0);
  let events = 0;
  for (const back of CUTS_DAYS) {
    const cutAt = asOf - back * DAY_MS;
    const earlier = records.map((record) => recordBefore(record, cutAt));
    const prior = priorOf(earlier, cutAt);
    for (const [index, record] of records.entries()) {
      const window = { startAt: cutAt, endAt: cutAt + AHEAD_DAYS * DAY_MS };
      const horizon = lengthOf(within(record.exposure, window)) / DAY_MS;
      const known = earlier[index];
      if (horizon === 0 || !known || known.exposure.length === 0) continue;
      const count = record.clusters.filter(({ beganAt }) => beganAt >= cutAt && beganAt < window.endAt).length;
      events += count;
      for (const [candidate, tau] of CANDIDATES_DAYS.entries()) {
        const past = forgotten(known, { asOf: cutAt, tau });
        scores[candidate] = (scores[candidate] ?? 0) + negativeBinomialLogPmf(count, outcome(prior, past, horizon));
      }
    }
  }
  if (events < LEAST_EVENTS) return USUAL_DAYS;
  return CANDIDATES_DAYS[scores.indexOf(Math.max(...scores))] ?? USUAL_DAYS;
}

/** Discounted clusters and exposure of a record, in days; see `exponentialForgetting`. */
export function forgotten(
  { clusters, exposure }: SeasonRecord,
  { asOf, tau }: { asOf: number; tau: number },
): { count: number; exposure: number } {
  return exponentialForgetting({
    inService: exposure.map(({ startAt, endAt }) => [startAt / DAY_MS, endAt / DAY_MS] as const),
    events: clusters.map(({ beganAt }) => beganAt / DAY_MS),
    asOf: asOf / DAY_MS,
    tau,
  });
}

// Size and mean of the count to come, as `forecastCount` has them, without its limits, which take most of its time.
function outcome(prior: FittedPrior, past: { count: number; exposure: number }, horizon: number) {
  const size = prior.shape + past.count;
  const rate = size === Infinity ? prior.mean : size / (prior.rate + past.exposure);
  return { size, mean: rate * horizon };
}

function recordBefore({ clusters, exposure }: SeasonRecord, at: number): SeasonRecord {
  return {
    clusters: clusters.filter(({ beganAt }) => beganAt < at),
    exposure: within(exposure, { startAt: -Infinity, endAt: at }),
  };
}
