import { alarmDispersion } from "@/lib/analyse/alarm-spells";
import { type DriftModel, driftModels } from "@/lib/analyse/drift/model";
import { type FaultTrends, faultTrends } from "@/lib/analyse/fault-trends";
import { type FleetSeason, fleetSeason, isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorForecast } from "@/lib/analyse/forecast/detector-forecast";
import type { FleetHistory } from "@/lib/analyse/history";
import { type HoldReference, holdReference } from "@/lib/analyse/holds";
import { type AlarmHours, alarmHours } from "@/lib/analyse/hour-profile";
import { type Skies, skiesOnce } from "@/lib/analyse/sun-views";

/** What the fleet as a whole lends to the judgement of one detector; made once for all kinds. */
export type FindingsContext = {
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
  /** By detector id; empty where findings are made without a forecast, which decides none of them. */
  readonly forecasts: ReadonlyMap<string, DetectorForecast>;
};

/** Prepares what all kinds share: seasons, hours, drifts, alignments and sun views, with no forecast. */
export function findingsContext(history: FleetHistory, { horizonDays }: { horizonDays: number }): FindingsContext {
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
    drifts: driftModels(detectors, { asOf, horizonDays }),
    forecasts: new Map(),
  };
}
