import type { SignalState } from "@/lib/analyse/drift/signal-state";
import type { FleetSeason } from "@/lib/analyse/fleet-season";
import type { CountOutlook, DetectorForecast, ModeOutlook } from "@/lib/analyse/forecast/detector-forecast";
import { type EventRecord, eventRecord } from "@/lib/analyse/forecast/event-record";
import type { ForecastReport } from "@/lib/analyse/forecast/forecast-report";
import { type KindForecast, kindForecast } from "@/lib/analyse/forecast/kind-forecast";
import { type KnownRates, knownRates } from "@/lib/analyse/forecast/known-rates";
import { type OriginRows, originRows, signalStates } from "@/lib/analyse/forecast/origin-rows";
import { originsOf } from "@/lib/analyse/forecast/origins";
import { MOST_PAST } from "@/lib/analyse/forecast/trial";
import { type YearWeights, yearWeights } from "@/lib/analyse/forecast/year-weights";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { EventKind } from "@/lib/analyse/modes/cause";
import type { ModeModel } from "@/lib/analyse/modes/mode-model";
import { DAY_MS } from "@/lib/kernel/units";

/** Forecasts by detector id, and by kind how they were chosen. */
export type FleetForecast = {
  readonly byDetector: ReadonlyMap<string, DetectorForecast>;
  readonly reports: Readonly<Record<EventKind, ForecastReport>>;
};

/** What a forecast is made for, and what the fleet lends to it. */
export type ForecastOptions = {
  readonly asOf: number;
  readonly horizonDays: number;
  readonly faultSeason: FleetSeason;
  readonly alarmSeason: FleetSeason;
  /** The fleet's events by cause as known at a moment, asked once a moment; null where there is no such model. */
  readonly byCauseAt?: (kind: EventKind, at: number) => ModeModel | null;
};

const LONGEST_RECORD_DAYS = 3653;

/**
 * Expected fault episodes and own unwanted alarms of every detector over the horizon without a preventive visit, with
 * what moves them and what is likely behind them; and how well forecasts of that making did in the past.
 *
 * Nothing at or after `asOf` may be in the histories. Cost: O(detectors x origins x features²).
 */
export function forecastFleet(histories: readonly DetectorHistory[], options: ForecastOptions): FleetForecast {
  const { asOf, horizonDays } = options;
  const origins = originsOf(histories, options);
  const moments = [...origins.at, asOf];
  const signals = signalStates(histories, moments);
  const faults = kindInput(histories, { kind: "fault", season: options.faultSeason, moments, options });
  const alarms = kindInput(histories, { kind: "alarm", season: options.alarmSeason, moments, options });
  const now = { fault: options.byCauseAt?.("fault", asOf) ?? null, alarm: options.byCauseAt?.("alarm", asOf) ?? null };
  const shared = { histories, moments, signals, trialDays: origins.days, now, options };
  const ofFaults = forecastKind(faults, { ...shared, other: alarms });
  const ofAlarms = forecastKind(alarms, { ...shared, other: faults });
  const span = { startAt: asOf, endAt: asOf + horizonDays * DAY_MS };
  const byDetector = new Map<string, DetectorForecast>();
  for (const [index, history] of histories.entries()) {
    const { detectorId } = history.detector;
    const fault = ofFaults.outlooks[index] ?? NOTHING;
    const alarm = ofAlarms.outlooks[index] ?? NOTHING;
    const modes = (kind: EventKind, outlook: CountOutlook) =>
      modesOf(outlook, { kind, shares: now[kind]?.expected(detectorId, span) ?? [] });
    byDetector.set(detectorId, {
      faults: fault,
      unwantedAlarms: alarm,
      modes: [...modes("fault", fault), ...modes("alarm", alarm)],
      moves: [...(ofFaults.moves[index] ?? []), ...(ofAlarms.moves[index] ?? [])],
    });
  }
  return { byDetector, reports: { fault: ofFaults.report, alarm: ofAlarms.report } };
}

const NOTHING: CountOutlook = { mean: 0, low: 0, high: 0, variance: 0 };

type KindInput = {
  readonly kind: EventKind;
  readonly records: readonly EventRecord[];
  readonly weights: YearWeights;
  /** At each origin and at the as-of moment. */
  readonly known: readonly KnownRates[];
};

type ForKind = {
  readonly kind: EventKind;
  readonly season: FleetSeason;
  readonly moments: readonly number[];
  readonly options: ForecastOptions;
};

function kindInput(histories: readonly DetectorHistory[], { kind, season, moments, options }: ForKind): KindInput {
  const { asOf, horizonDays } = options;
  const records = histories.map((history) => eventRecord(history, kind));
  const weights = yearWeights(season, {
    startAt: asOf - LONGEST_RECORD_DAYS * DAY_MS,
    endAt: asOf + horizonDays * DAY_MS,
  });
  const known = moments.map((at) => knownRates(histories, { records, at, weights }));
  return { kind, records, weights, known };
}

type Shared = {
  readonly histories: readonly DetectorHistory[];
  readonly moments: readonly number[];
  readonly signals: readonly (readonly (SignalState | null)[])[];
  readonly trialDays: number;
  readonly other: KindInput;
  readonly now: Readonly<Record<EventKind, ModeModel | null>>;
  readonly options: ForecastOptions;
};

function forecastKind(
  { kind, records, weights, known }: KindInput,
  { histories, moments, signals, trialDays, other, now: modelsNow, options }: Shared,
): KindForecast {
  const last = moments.length - 1;
  // Models by cause are dear, and only the trials need them.
  const causesAt = (at: number, back: number) => (back <= MOST_PAST ? (options.byCauseAt?.(kind, at) ?? null) : null);
  const rows = moments.flatMap((at, index): OriginRows[] => {
    const here = known[index];
    const there = other.known[index];
    if (!here || !there) return [];
    const past = index < last;
    return [
      originRows(histories, {
        at,
        days: past ? trialDays : options.horizonDays,
        past,
        records,
        known: here,
        other: there,
        weights,
        signals: signals[index] ?? [],
        byCause: past ? causesAt(at, last - index) : modelsNow[kind],
      }),
    ];
  });
  const now = rows.at(-1);
  if (!now) throw new RangeError("no rows at the as-of moment");
  return kindForecast({ origins: rows.slice(0, -1), now }, { kind, trialDays });
}

function modesOf(
  { mean, variance }: CountOutlook,
  {
    kind,
    shares,
  }: { kind: EventKind; shares: readonly { readonly cause: ModeOutlook["cause"]; readonly value: number }[] },
): ModeOutlook[] {
  const total = shares.reduce((sum, { value }) => sum + value, 0);
  if (!(total > 0)) return [{ kind, cause: "unknown", mean, variance }];
  return shares.map(({ cause, value }) => ({
    kind,
    cause,
    mean: (mean * value) / total,
    variance: (variance * value) / total,
  }));
}
