import type { DriftModel } from "@/lib/analyse/drift/model";
import { signalCauses } from "@/lib/analyse/drift/signal-causes";
import { type FindingsContext, findingsContext } from "@/lib/analyse/findings-context";
import { type FleetForecast, forecastFleet } from "@/lib/analyse/forecast/forecast-fleet";
import type { FleetHistory } from "@/lib/analyse/history";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { fitFleetModes } from "@/lib/analyse/modes/mode-fit";
import { modeGround } from "@/lib/analyse/modes/mode-ground";
import type { ModeModel } from "@/lib/analyse/modes/mode-model";

/** What the fleet as a whole lends to findings and to the ranking; made once. */
export type FleetContext = FindingsContext & {
  /** How the forecasts were chosen, by kind of event. */
  readonly forecastReports: FleetForecast["reports"];
  /** The fleet's events taken apart by cause, as of the moment. */
  readonly modes: Readonly<Record<EventKind, ModeModel>>;
};

/** Prepares what findings share, and the forecast over the horizon with the causes it rests on. */
export function fleetContext(history: FleetHistory, { horizonDays }: { horizonDays: number }): FleetContext {
  const { detectors, asOf } = history;
  const shared = findingsContext(history, { horizonDays });
  const { faultSeason, alarmSeason } = shared;
  const modesAt = modesOf(shared);
  const forecast = forecastFleet(detectors, {
    asOf,
    horizonDays,
    faultSeason,
    alarmSeason,
    byCauseAt: (kind, at) => modesAt(at)[kind],
  });
  return {
    ...shared,
    forecasts: forecast.byDetector,
    forecastReports: forecast.reports,
    modes: modesAt(asOf),
  };
}

type Modes = Readonly<Record<EventKind, ModeModel>>;

// Each moment is fitted once, whoever asks. The drift of the readings is known as of the history's own moment only.
function modesOf({ history: { detectors, asOf: now }, drifts }: FindingsContext): (at: number) => Modes {
  const ground = modeGround(detectors);
  return once((at) => {
    if (at !== now) return fitFleetModes(ground, { asOf: at });
    return fitFleetModes(ground, { asOf: at, driftOf: (detectorId) => causesIn(drifts.get(detectorId)) });
  });
}

function causesIn(drift: DriftModel | undefined): ReturnType<typeof signalCauses> {
  return drift === undefined ? [] : signalCauses(drift);
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
