import { type SignalState, signalStates as statesOf } from "@/lib/analyse/drift/signal-state";
import { isSouth } from "@/lib/analyse/fleet-season";
import { countIn, type EventRecord } from "@/lib/analyse/forecast/event-record";
import { type FeatureSource, features } from "@/lib/analyse/forecast/features";
import { type KnownRates, memoryDays } from "@/lib/analyse/forecast/known-rates";
import { unvisitedSpan } from "@/lib/analyse/forecast/origins";
import { ownSeasons } from "@/lib/analyse/forecast/own-season";
import type { YearWeights } from "@/lib/analyse/forecast/year-weights";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { ModeModel } from "@/lib/analyse/modes/mode-model";
import { within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

/** The fleet at one origin: a row for each detector in service there. Arrays stand in the order of `detectors`. */
export type OriginRows = {
  readonly at: number;
  /** Positions of the rows' detectors in the fleet. */
  readonly detectors: readonly number[];
  /** Episodes that came before the first planned visit; 0 at the as-of moment, where nothing is known. */
  readonly counts: readonly number[];
  /** Days of usual season in which they came, or will. */
  readonly daysAhead: readonly number[];
  /** Features row by row, NaN where one cannot be said. */
  readonly x: Float64Array;
  readonly sources: readonly FeatureSource[];
};

/** What rows of one kind of event are made from. */
export type RowInput = {
  readonly at: number;
  readonly days: number;
  /** Whether what came after is to be counted. */
  readonly past: boolean;
  readonly records: readonly EventRecord[];
  readonly known: KnownRates;
  readonly other: KnownRates;
  readonly weights: YearWeights;
  readonly signals: readonly (SignalState | null)[];
  readonly byCause: ModeModel | null;
};

/** Signal states of all detectors at each moment, for both kinds of events. */
export function signalStates(
  histories: readonly DetectorHistory[],
  moments: readonly number[],
): (SignalState | null)[][] {
  const ofDetectors = histories.map((history) => statesOf(history, moments).map(remembering));
  return moments.map((_, moment) => ofDetectors.map((states) => states[moment] ?? null));
}

// Both kinds ask for the same horizon.
function remembering(state: SignalState | null): SignalState | null {
  if (state === null) return null;
  const asked = new Map<number, number>();
  return {
    ...state,
    chanceOfLimit: (days) => {
      const rounded = Math.max(1, Math.round(days));
      const known = asked.get(rounded) ?? state.chanceOfLimit(rounded);
      asked.set(rounded, known);
      return known;
    },
  };
}

/** The rows of one kind at one origin; detectors not yet in service, or not observed ahead, have none. */
export function originRows(histories: readonly DetectorHistory[], input: RowInput): OriginRows {
  const { at, days, past, records, known, other, weights, signals, byCause } = input;
  const whole = { startAt: at, endAt: at + days * DAY_MS };
  const ahead = (south: boolean) => weights.weighed([whole], south);
  const usual = { north: ahead(false), south: ahead(true) };
  const fleetFactors = histories.map(({ site }) => (isSouth(site) ? usual.south : usual.north) / days);
  const seasons = ownSeasons(records, { at, days, fleetFactors });
  const detectors: number[] = [];
  const counts: number[] = [];
  const daysAhead: number[] = [];
  const sources: FeatureSource[] = [];
  for (const [index, history] of histories.entries()) {
    const record = records[index];
    const rates = known.detectors[index];
    const otherRates = other.detectors[index];
    if (!record || !rates || !otherRates) continue;
    const south = isSouth(history.site);
    let span = whole;
    let length = south ? usual.south : usual.north;
    if (past) {
      if (!((history.exposure.inService[0]?.startAt ?? Infinity) <= at)) continue;
      span = unvisitedSpan(history, { origin: at, days });
      length = weights.weighed(within(record.observed, span), south);
      if (!(length > 0)) continue;
    }
    detectors.push(index);
    counts.push(past ? countIn(record.episodes, span) : 0);
    daysAhead.push(length);
    sources.push({
      history,
      record,
      at,
      known,
      rates,
      baseRate: (rates.shrunk[BASE] ?? known.fleetRate) * rates.size,
      baseDoubt: rates.doubts[BASE] ?? 1,
      daysAhead: south ? usual.south : usual.north,
      season: seasons[index] ?? { factor: 1, count: 0, expected: 0 },
      otherRatio: (otherRates.shrunk[SLOW] ?? other.fleetRate) / other.fleetRate,
      signal: signals[index] ?? null,
      byCause: byCause === null ? null : totalOf(byCause, history, whole),
    });
  }
  return { at, detectors, counts, daysAhead, x: featuresOf(sources), sources };
}

const SLOW = memoryDays.length - 1;
// A year: the regression starts from it and learns from the shorter and longer ones.
const BASE = 2;

function totalOf(model: ModeModel, { detector }: DetectorHistory, span: { startAt: number; endAt: number }): number {
  return model.expected(detector.detectorId, span).reduce((sum, { value }) => sum + value, 0);
}

function featuresOf(sources: readonly FeatureSource[]): Float64Array {
  const x = new Float64Array(sources.length * features.length);
  for (const [row, source] of sources.entries()) {
    for (const [column, feature] of features.entries()) x[row * features.length + column] = feature.valueOf(source);
  }
  return x;
}
