import type { FleetForecast } from "@/lib/analyse/forecast/forecast-fleet";
import type { EventKind } from "@/lib/analyse/modes/cause";
import type { ForecastReport } from "@/lib/rank/backtest/backtest-result";

const kinds: readonly (readonly [EventKind, string])[] = [
  ["fault", "faults"],
  ["alarm", "unwanted alarms"],
];

/** How the forecast's parts did in trials at moments before the as-of moment, by kind of event; untried parts are left out. */
export function forecastReports(reports: FleetForecast["reports"]): ForecastReport[] {
  return kinds.map(([kind, words]) => ({
    kind: words,
    sentence: reports[kind].sentence,
    parts: reports[kind].parts.flatMap(({ part, logScore }) =>
      logScore === null ? [] : [{ name: part, score: logScore }],
    ),
  }));
}
