import { alarmDispersion } from "@/lib/analyse/alarm-spells";
import { type DriftModel, driftModels } from "@/lib/analyse/drift/model";
import { type FaultTrends, faultTrends } from "@/lib/analyse/fault-trends";
import { type FleetSeason, fleetSeason, isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorForecast } from "@/lib/analyse/forecast/detector-forecast";
import { type FleetForecast, forecastFleet } from "@/lib/analyse/forecast/forecast-fleet";
import type { FleetHistory } from "@/lib/analyse/history";
import { type HoldReference, holdReference } from "@/lib/analyse/holds";
import { type AlarmHours, alarmHours } from "@/lib/analyse/hour-profile";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { fitAlarmModes, fitFaultModes } from "@/lib/analyse/modes/mode-fit";
import { modeGround } from "@/lib/analyse/modes/mode-ground";
import type { ModeModel } from "@/lib/analyse/modes/mode-model";
import { type Skies, skiesOnce } from "@/lib/analyse/sun-views";

/** What the fleet as a whole lends to the judgement of one detector; made once for all kinds. */
export type FleetContext = {
  readonly history: FleetHistory;
  readonly horizonDays: number;
  readonly faultSeason: FleetSeason;
  readonly alarmSeason: FleetSeason;
  readonly alarmHours: AlarmHours;
  /** Variance of alarm clusters within detectors against chance, for bad spells of weeks; at least 1. */
  readonly alarmDispersion: number;
  readonly faultTrends: FaultTrends;
  readonly holds: HoldReference;
  readonly skies: Skies;
  /** By detector id. */
  readonly drifts: ReadonlyMap<string, DriftModel>;
  readonly forecasts: ReadonlyMap<string, DetectorForecast>;
  /** How the forecasts were chosen, by kind of event. */
  readonly forecastReports: FleetForecast["reports"];
  /** The fleet's events taken apart by cause, as of the moment. */
  readonly modes: Readonly<Record<EventKind, ModeModel>>;
};

/** Prepares what all kinds share: seasons, hours, drifts, alignments, sun views and the forecast over the horizon. */
export function fleetContext(history: FleetHistory, { horizonDays }: { horizonDays: number }): FleetContext {
  const { detectors, asOf, firstRecordAt } = history;
  const faultSeason = fleetSeason(
    detectors.map(({ detector, site, faultClusters, exposure }) => ({
      detectorId: detector.detectorId,
      south: isSouth(site),
      events: faultClusters.map(({ beganAt }) => beganAt),
      exposure: exposure.faultRisk,
    })),
  );
  const alarmSeason = fleetSeason(
    detectors.map(({ detector, site, alarmClusters, exposure }) => ({
      detectorId: detector.detectorId,
      south: isSouth(site),
      events: alarmClusters.map(({ beganAt }) => beganAt),
      exposure: exposure.observed,
    })),
  );
  const modesAt = modesOf(history);
  const forecast = forecastFleet(detectors, {
    asOf,
    horizonDays,
    faultSeason,
    alarmSeason,
    byCauseAt: (kind, at) => modesAt[kind](at),
  });
  const drifts = driftModels(detectors, { asOf, horizonDays });
  return {
    history,
    horizonDays,
    faultSeason,
    alarmSeason,
    alarmHours: alarmHours(detectors),
    alarmDispersion: alarmDispersion(detectors),
    faultTrends: faultTrends(detectors, { asOf, season: faultSeason }),
    holds: holdReference(detectors, { firstRecordAt }),
    skies: skiesOnce(),
    drifts,
    forecasts: forecast.byDetector,
    forecastReports: forecast.reports,
    modes: { fault: modesAt.fault(asOf), alarm: modesAt.alarm(asOf) },
  };
}

type ModesAt = Readonly<Record<EventKind, (at: number) => ModeModel>>;

// Each moment is fitted once, whoever asks.
function modesOf({ detectors }: FleetHistory): ModesAt {
  const ground = modeGround(detectors);
  return {
    fault: once((at) => fitFaultModes(ground, { asOf: at })),
    alarm: once((at) => fitAlarmModes(ground, { asOf: at })),
  };
}

function once<Value>(make: (at: number) => Value): (at: number) => Value {
  const made = new Map<number, Value>();
  return (at) => {
    const known = made.get(at);
    if (known !== undefined) return known;
    const value = make(at);
    made.set(at, value);
    return value;
  };
}
