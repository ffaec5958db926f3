import { type FindingsContext, findingsContext } from "@/lib/analyse/findings-context";
import { type FleetForecast, forecastFleet } from "@/lib/analyse/forecast/forecast-fleet";
import type { FleetHistory } from "@/lib/analyse/history";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { fitAlarmModes, fitFaultModes } from "@/lib/analyse/modes/mode-fit";
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
  const modesAt = modesOf(history);
  const forecast = forecastFleet(detectors, {
    asOf,
    horizonDays,
    faultSeason,
    alarmSeason,
    byCauseAt: (kind, at) => modesAt[kind](at),
  });
  return {
    ...shared,
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
