import { countIn, daysIn, type EventRecord } from "@/lib/analyse/forecast/event-record";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import { fitGammaPoisson } from "@/lib/statistics/shrinkage";

/** What a detector's earlier years say of the weeks ahead. */
export type OwnSeason = {
  /** How many times its average rate it shows in those weeks, drawn towards 1 as the fleet teaches. */
  readonly factor: number;
  /** Clusters in those weeks of earlier years, and how many its total and the fleet's season let expect. */
  readonly count: number;
  readonly expected: number;
};

const LEAST_DAYS = 365;
const YEARS = 5;

/**
 * How the same weeks of earlier years compare with each detector's whole record before a moment.
 *
 * How far one detector may differ from the others is learned from the fleet: the factors are gamma distributed, and
 * each detector gets the mean after its own count. Where detectors do not differ, and for detectors observed for less
 * than a year, the factor is 1.
 *
 * @param fleetFactors - the fleet's season over the weeks ahead for each detector
 */
export function ownSeasons(
  records: readonly EventRecord[],
  { at, days, fleetFactors }: { at: number; days: number; fleetFactors: readonly number[] },
): OwnSeason[] {
  const counted = records.map((record, index) => inSeason(record, { at, days, factor: fleetFactors[index] ?? 1 }));
  const used = counted.filter(({ expected }) => expected > 0);
  if (days >= 365 || used.length < 2) return counted.map((one) => ({ ...one, factor: 1 }));
  const prior = fitGammaPoisson({
    counts: used.map(({ count }) => count),
    exposures: used.map(({ expected }) => expected),
  });
  if (prior.shape === Infinity || prior.method === "weak") return counted.map((one) => ({ ...one, factor: 1 }));
  return counted.map((one) => ({
    ...one,
    factor: (prior.shape + one.count) / (prior.rate + one.expected) / prior.mean,
  }));
}

function inSeason(
  { clusters, exposure }: EventRecord,
  { at, days, factor }: { at: number; days: number; factor: number },
): { count: number; expected: number } {
  const before = { startAt: at - YEARS * YEAR_MS, endAt: at };
  const known = daysIn(exposure, before);
  const total = countIn(clusters, before);
  if (known < LEAST_DAYS || total === 0) return { count: 0, expected: 0 };
  let count = 0;
  let seen = 0;
  for (let year = 1; year <= YEARS; year += 1) {
    const startAt = at - year * YEAR_MS;
    const window = { startAt, endAt: Math.min(at, startAt + days * DAY_MS) };
    seen += daysIn(exposure, window);
    count += countIn(clusters, window);
  }
  return { count, expected: (total * factor * seen) / known };
}
