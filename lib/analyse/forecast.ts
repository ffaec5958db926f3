import type { DriftModel } from "@/lib/analyse/drift/model";
import type { Episode } from "@/lib/analyse/episodes";
import { type FleetSeason, isSouth, seasonIntegral, seasonOfAll } from "@/lib/analyse/fleet-season";
import { chooseForgetting, forgotten } from "@/lib/analyse/forgetting";
import type { DetectorHistory } from "@/lib/analyse/history";
import { ownSeasonFactors, type SeasonRecord } from "@/lib/analyse/own-season";
import { type Estimate, lengthOf, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { meanOf, varianceOf } from "@/lib/statistics/descriptive";
import { negativeBinomialQuantile } from "@/lib/statistics/distributions";
import { type FittedPrior, fitGammaPoisson, forecastCount } from "@/lib/statistics/shrinkage";

/** A number of events to come: mean, ends of the 90 % prediction interval, and variance. */
export type CountOutlook = Estimate & { readonly variance: number };

/** What one detector is expected to give over the horizon without a visit. */
export type DetectorForecast = {
  readonly faults: CountOutlook;
  readonly unwantedAlarms: CountOutlook;
  /** Part of the expected faults that comes from the signal reaching its limit. */
  readonly faultsFromDrift: number;
};

const PRIOR_DAYS = 730;
const LEVEL = 0.9;
/** Clusters' worth of fleet experience in a detector's own number of episodes a cluster. */
const SIZE_WEIGHT = 5;
/** Where a fleet was never observed: a weak prior around one event in about three years. */
const UNOBSERVED: FittedPrior = { shape: 0.5, rate: 0.5 / (0.3 / 365.25), mean: 0.3 / 365.25, method: "weak" };

/**
 * Expected faults and own false alarms of every detector over the horizon, by detector id.
 *
 * Events are clusters, whose number is gamma-Poisson with exponential forgetting, the fleet's season and what the
 * detector's own earlier years show in the same weeks; each cluster brings so many episodes. Faults also get what the drift of the signal adds beyond the detector's own history.
 */
export function forecastFleet(
  histories: readonly DetectorHistory[],
  fleet: {
    readonly asOf: number;
    readonly horizonDays: number;
    readonly faultSeason: FleetSeason;
    readonly alarmSeason: FleetSeason;
    readonly drifts: ReadonlyMap<string, DriftModel>;
  },
): Map<string, DetectorForecast> {
  const { asOf, horizonDays } = fleet;
  const faults = outlooks(histories, {
    asOf,
    horizonDays,
    season: fleet.faultSeason,
    recordOf: (history) => ({ clusters: history.faultClusters, exposure: history.exposure.faultRisk }),
  });
  const alarms = outlooks(histories, {
    asOf,
    horizonDays,
    season: fleet.alarmSeason,
    recordOf: (history) => ({ clusters: history.alarmClusters, exposure: history.exposure.observed }),
  });
  return new Map(
    histories.map((history, index) => {
      const { detectorId } = history.detector;
      const base = faults[index] ?? outlookOf({ mean: 0, variance: 0 });
      const fromDrift = driftFaults(fleet.drifts.get(detectorId), { base, faults: history.faults });
      return [
        detectorId,
        {
          faults: outlookOf({ mean: base.mean + fromDrift, variance: base.variance + fromDrift }),
          unwantedAlarms: alarms[index] ?? outlookOf({ mean: 0, variance: 0 }),
          faultsFromDrift: fromDrift,
        },
      ];
    }),
  );
}

/**
 * A count's outlook from its mean and variance: negative binomial, or Poisson where the variance is no larger.
 *
 * The limits are whole numbers; where the mean of a rare event lies above the upper one, that end is moved to the mean.
 */
export function outlookOf({ mean, variance }: { mean: number; variance: number }): CountOutlook {
  if (mean === 0) return { mean, low: 0, high: 0, variance };
  const size = variance > mean * (1 + 1e-9) ? mean ** 2 / (variance - mean) : Infinity;
  const low = negativeBinomialQuantile((1 - LEVEL) / 2, { size, mean });
  const high = negativeBinomialQuantile((1 + LEVEL) / 2, { size, mean });
  return { mean, low: Math.min(low, mean), high: Math.max(high, mean), variance };
}

type Outlook = {
  readonly asOf: number;
  readonly horizonDays: number;
  readonly season: FleetSeason;
  readonly recordOf: (history: DetectorHistory) => SeasonRecord;
};

function outlooks(histories: readonly DetectorHistory[], { asOf, horizonDays, season, recordOf }: Outlook) {
  const records = histories.map(recordOf);
  const prior = priorOf(records, asOf);
  const sizes = clusterSizes(records);
  const forgettingDays = chooseForgetting(records, { asOf, priorOf });
  const ofFleet = horizonFactors(season, { asOf, horizonDays });
  const fleetFactors = histories.map(({ site }) => (isSouth(site) ? ofFleet.south : ofFleet.north));
  const ownFactors = ownSeasonFactors(records, { asOf, horizonDays, fleetFactors });
  return histories.map((_, index) => {
    const record = records[index] ?? { clusters: [], exposure: [] };
    const known = forgotten(record, { asOf, tau: forgettingDays });
    const horizon = horizonDays * (fleetFactors[index] ?? 1) * (ownFactors[index] ?? 1);
    const count = forecastCount({ ...prior, ...known, horizon, level: LEVEL });
    const episodes = record.clusters.reduce((sum, cluster) => sum + cluster.episodes, 0);
    const size = (episodes + SIZE_WEIGHT * sizes.mean) / (record.clusters.length + SIZE_WEIGHT);
    const ofCount = count.mean + (count.size === Infinity ? 0 : count.mean ** 2 / count.size);
    return outlookOf({ mean: size * count.mean, variance: size ** 2 * ofCount + count.mean * sizes.variance });
  });
}

function priorOf(records: readonly SeasonRecord[], asOf: number): FittedPrior {
  const since = { startAt: asOf - PRIOR_DAYS * DAY_MS, endAt: asOf };
  const exposures = records.map(({ exposure }) => lengthOf(within(exposure, since)) / DAY_MS);
  if (!exposures.some((days) => days > 0)) return UNOBSERVED;
  const counts = records.map(({ clusters }) => clusters.filter(({ beganAt }) => beganAt >= since.startAt).length);
  return fitGammaPoisson({ counts, exposures });
}

function clusterSizes(records: readonly SeasonRecord[]): { mean: number; variance: number } {
  const sizes = records.flatMap(({ clusters }) => clusters.map((cluster) => cluster.episodes));
  return { mean: meanOf(sizes) ?? 1, variance: varianceOf(sizes) ?? 0 };
}

function horizonFactors(season: FleetSeason, { asOf, horizonDays }: { asOf: number; horizonDays: number }) {
  const shape = seasonOfAll(season);
  if (shape === null) return { north: 1, south: 1 };
  const endAt = asOf + horizonDays * DAY_MS;
  const factor = (south: boolean) => seasonIntegral(shape, south)(asOf, endAt) / (horizonDays * DAY_MS);
  return { north: factor(false), south: factor(true) };
}

// A signal that reaches its limit brings a fault. What the detector's own low-signal faults already let expect is not
// counted twice.
function driftFaults(
  drift: DriftModel | undefined,
  { base, faults }: { base: CountOutlook; faults: readonly Episode[] },
): number {
  if (drift?.outcome !== "fitted" || drift.chanceInHorizon < 0.02) return 0;
  const fromSignal = faults.filter(({ cause }) => cause === "low_signal" || cause === "compensation_limit").length;
  const share = faults.length === 0 ? 0.5 : fromSignal / faults.length;
  return Math.max(0, drift.chanceInHorizon - share * base.mean);
}
