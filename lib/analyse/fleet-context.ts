import { withinDispersion } from "@/lib/analyse/dispersion";
import { type DriftModel, driftModels } from "@/lib/analyse/drift/model";
import { type FleetSeason, fleetSeason, isSouth } from "@/lib/analyse/fleet-season";
import { type DetectorForecast, forecastFleet } from "@/lib/analyse/forecast";
import type { FleetHistory } from "@/lib/analyse/history";
import { type HoldReference, holdReference } from "@/lib/analyse/holds";
import { alarmHours, hourWeights } from "@/lib/analyse/hour-profile";
import { type SunViews, sunViews } from "@/lib/analyse/sun-views";

/** What the fleet as a whole lends to the judgement of one detector; made once for all kinds. */
export type FleetContext = {
  readonly history: FleetHistory;
  readonly horizonDays: number;
  readonly faultSeason: FleetSeason;
  readonly alarmSeason: FleetSeason;
  /** Own false-alarm clusters of the fleet by hour of the site's day, 24 counts. */
  readonly alarmHours: readonly number[];
  /** Variance of fault clusters within detectors against chance, at least 1. */
  readonly faultDispersion: number;
  readonly holds: HoldReference;
  readonly sun: SunViews;
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
  const hours = alarmHours(detectors);
  const drifts = driftModels(detectors, { asOf, horizonDays });
  return {
    history,
    horizonDays,
    faultSeason,
    alarmSeason,
    alarmHours: hours,
    faultDispersion: withinDispersion(detectors),
    holds: holdReference(detectors, { firstRecordAt }),
    sun: sunViews({ asOf, hourWeights: hourWeights(hours) ?? usualDay }),
    drifts,
    forecasts: forecastFleet(detectors, { asOf, horizonDays, faultSeason, alarmSeason, drifts }),
  };
}

// Where a fleet has too few alarms to know its day: about 2.7 times as many at 13 h as at 1 h, as two public records of
// fire brigades show.
const usualDay = Array.from({ length: 24 }, (_, hour) => 1 + 0.46 * Math.cos((2 * Math.PI * (hour + 0.5 - 13)) / 24));
