import { isSouth } from "@/lib/analyse/fleet-season";
import { countIn, daysIn, decayedBefore, type EventRecord } from "@/lib/analyse/forecast/event-record";
import { groupFactors } from "@/lib/analyse/forecast/group-factors";
import type { YearWeights } from "@/lib/analyse/forecast/year-weights";
import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import { type FittedPrior, fitGammaPoisson } from "@/lib/statistics/shrinkage";

/** How long the past is remembered, in days, from fast to slow. */
export const memoryDays = [60, 180, 365, 1095] as const;

/** What the records before a moment say of the rates of a fleet's detectors. */
export type KnownRates = {
  /** Clusters a day of one detector in the fleet. */
  readonly fleetRate: number;
  /** Episodes a cluster in the fleet. */
  readonly fleetSize: number;
  /** One for each detector, in their order. */
  readonly detectors: readonly DetectorRates[];
};

/** Rates of one detector; clusters a day of usual season. */
export type DetectorRates = {
  /** By memory, drawn towards the fleet's rate alone. */
  readonly flat: readonly number[];
  /** By memory, drawn towards the rate of its site. */
  readonly shrunk: readonly number[];
  /** By memory: variance of the rate over its square. */
  readonly doubts: readonly number[];
  /** Episodes a cluster. */
  readonly size: number;
  /** How many times the fleet's rate its site and its environment give. */
  readonly siteFactor: number;
  readonly environmentFactor: number;
};

const PRIOR_DAYS = 730;
const SIZE_WEIGHT = 5;
// Where nothing tells detectors apart, a long record of its own must still be able to.
const LARGEST_SHAPE = 30;
const SMALLEST_SHAPE = 0.1;
const UNOBSERVED: FittedPrior = { shape: 0.5, rate: 0.5 / (0.3 / 365.25), mean: 0.3 / 365.25, method: "weak" };

/**
 * Rates of all detectors from what lies before a moment: fleet, environment within it, site within that, detector
 * within its site, each by gamma-Poisson shrinkage and with four lengths of memory.
 *
 * @param records - of the same detectors as `histories`, in the same order
 */
export function knownRates(
  histories: readonly DetectorHistory[],
  { records, at, weights }: { records: readonly EventRecord[]; at: number; weights: YearWeights },
): KnownRates {
  const since = { startAt: at - PRIOR_DAYS * DAY_MS, endAt: at };
  const counts = records.map(({ clusters }) => countIn(clusters, since));
  const exposures = records.map(({ exposure }) => daysIn(exposure, since));
  const prior = exposures.some((days) => days > 0) ? fitGammaPoisson({ counts, exposures }) : UNOBSERVED;
  const shape = Math.max(SMALLEST_SHAPE, Math.min(LARGEST_SHAPE, prior.shape));
  const levels = levelsOf(histories, { counts, exposures, mean: prior.mean, shape });
  const sizes = sizesOf(records, at);
  const past = (south: boolean) => memoryDays.map((tauDays) => weights.past(at, { tauDays, south }));
  const pasts = { north: past(false), south: past(true) };
  const detectors = histories.map((history, index) => {
    const record = records[index] ?? emptyRecord;
    const { siteFactor, environmentFactor } = levels.of(index);
    const mean = prior.mean * siteFactor * environmentFactor;
    const seasons = isSouth(history.site) ? pasts.south : pasts.north;
    const known = memoryDays.map((tauDays, memory) => {
      const { count, days } = decayedBefore(record, { at, tauDays });
      return { count, days: days * (seasons[memory] ?? 1) };
    });
    return {
      flat: known.map(({ count, days }) => (shape + count) / (shape / prior.mean + days)),
      shrunk: known.map(({ count, days }) => (levels.shape + count) / (levels.shape / mean + days)),
      doubts: known.map(({ count }) => 1 / (levels.shape + count)),
      size: sizes.of(index),
      siteFactor,
      environmentFactor,
    };
  });
  return { fleetRate: prior.mean, fleetSize: sizes.mean, detectors };
}

const emptyRecord: EventRecord = { episodes: [], clusters: [], exposure: [], observed: [] };

type Level = {
  readonly counts: readonly number[];
  readonly exposures: readonly number[];
  readonly mean: number;
  readonly shape: number;
};

function levelsOf(histories: readonly DetectorHistory[], { counts, exposures, mean, shape }: Level) {
  const memberVariance = 1 / shape;
  const ofFleet = exposures.map((days) => days * mean);
  const environments = histories.map(({ detector }) => detector.environment?.trim().toLowerCase() ?? "");
  const byEnvironment = groupFactors({ counts, expected: ofFleet, groups: environments }, { memberVariance });
  const environmentOf = (index: number) => byEnvironment.factors.get(environments[index] ?? "") ?? 1;
  const ofEnvironment = ofFleet.map((expected, index) => expected * environmentOf(index));
  const sites = histories.map(({ detector }) => detector.siteId);
  const bySite = groupFactors({ counts, expected: ofEnvironment, groups: sites }, { memberVariance });
  // What sites and environments explain is no longer a difference between detectors.
  const explained = (1 + bySite.variance) * (1 + byEnvironment.variance);
  const left = Math.max(1 / LARGEST_SHAPE, (1 + memberVariance) / explained - 1);
  return {
    shape: Math.max(SMALLEST_SHAPE, 1 / left),
    of: (index: number) => ({
      siteFactor: bySite.factors.get(sites[index] ?? "") ?? 1,
      environmentFactor: environmentOf(index),
    }),
  };
}

function sizesOf(records: readonly EventRecord[], at: number) {
  const before = { startAt: -Infinity, endAt: at };
  const known = records.map((record) => ({
    clusters: countIn(record.clusters, before),
    episodes: countIn(record.episodes, before),
  }));
  const total = known.reduce((sum, { clusters }) => sum + clusters, 0);
  const episodes = known.reduce((sum, one) => sum + Math.max(one.clusters, one.episodes), 0);
  const pooled = total > 0 ? episodes / total : 1;
  return {
    mean: pooled,
    of: (index: number) => {
      const { clusters, episodes: own } = known[index] ?? { clusters: 0, episodes: 0 };
      return (Math.max(clusters, own) + SIZE_WEIGHT * pooled) / (clusters + SIZE_WEIGHT);
    },
  };
}
