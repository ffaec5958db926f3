import { alarmDispersion } from "@/lib/analyse/alarm-spells";
import { type DriftModel, driftModels } from "@/lib/analyse/drift/model";
import { type FaultTrends, faultTrends } from "@/lib/analyse/fault-trends";
import { type FleetSeason, fleetSeason, isSouth } from "@/lib/analyse/fleet-season";
import { type DetectorForecast, forecastFleet } from "@/lib/analyse/forecast";
import type { FleetHistory } from "@/lib/analyse/history";
import { type HoldReference, holdReference } from "@/lib/analyse/holds";
import { type AlarmHours, alarmHours } from "@/lib/analyse/hour-profile";
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
    forecasts: forecastFleet(detectors, { asOf, horizonDays, faultSeason, alarmSeason, drifts }),
  };
}
