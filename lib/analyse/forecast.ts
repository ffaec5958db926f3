import type { DetectorForecast } from "@/lib/analyse/forecast/detector-forecast";
import { type ForecastOptions, forecastFleet as forecastWithReports } from "@/lib/analyse/forecast/forecast-fleet";
import type { DetectorHistory } from "@/lib/analyse/history";

export type { CountOutlook, DetectorForecast } from "@/lib/analyse/forecast/detector-forecast";
export { outlookOf } from "@/lib/analyse/forecast/outlook";

/** Forecasts by detector id, without the report of how they were chosen. */
export function forecastFleet(
  histories: readonly DetectorHistory[],
  options: ForecastOptions & { readonly drifts?: unknown },
): ReadonlyMap<string, DetectorForecast> {
  return forecastWithReports(histories, options).byDetector;
}
