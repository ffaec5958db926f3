import type { Segment } from "@/lib/analyse/drift/weeks";
import { yearFraction } from "@/lib/kernel/time";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import { meanOf, medianOf } from "@/lib/statistics/descriptive";
import { type LinearFit, leastSquares } from "@/lib/statistics/least-squares";

/** One turn a year: value = cos x cos(angle) + sin x sin(angle). */
export type Harmonic = { readonly cos: number; readonly sin: number };

/** What moves with heat and season, to be taken off before the drift is read. */
export type ThermalTerm = {
  /** Change of the value per degree; 0 where temperature was not sent or not used. */
  readonly perDegree: number;
  readonly meanTemperatureC: number;
  /** The detector's own year of temperature around its mean. */
  readonly climate: Harmonic;
  /** What the season adds beside temperature. */
  readonly season: Harmonic;
  /** Where the season came from. */
  readonly source: "temperature" | "own year" | "fleet" | "none";
};

/** Thermal term with the straight line fitted beside it; slope per day, null se where no freedom is left. */
export type ThermalFit = { readonly term: ThermalTerm; readonly slopeSe: number | null };

const OWN_YEAR_WEEKS = 40;
const BOTH_WEEKS = 78;
const LEAST_TEMPERATURE_SHARE = 0.8;
const OUTLIER_SIGMAS = 4;
const flat: Harmonic = { cos: 0, sin: 0 };

/**
 * Joint least squares of a level for each segment, one slope, and what moves with heat: temperature where it was sent,
 * an own yearly term where the record is long enough, else the fleet's. Weeks far off the fit are left out once.
 *
 * @param fleetSeason - yearly term of the other detectors, on this hemisphere; null when there is none
 * @returns null when drift cannot be told from season: a short record without temperature and without a fleet's term
 */
export function thermalFit(
  segments: readonly Segment[],
  { fleetSeason }: { fleetSeason: Harmonic | null },
): ThermalFit | null {
  const weeks = segments.flat();
  const temperatures = weeks.flatMap((week) => week.temperatureC ?? []);
  const meanTemperatureC = meanOf(temperatures) ?? 0;
  const spread = Math.max(...temperatures, -Infinity) - Math.min(...temperatures, Infinity);
  const hasTemperature = temperatures.length >= LEAST_TEMPERATURE_SHARE * weeks.length && spread >= 3;
  const hasYear = weeks.length >= (hasTemperature ? BOTH_WEEKS : OWN_YEAR_WEEKS);
  if (!hasTemperature && !hasYear) {
    if (fleetSeason === null) return null;
    const term: ThermalTerm = { perDegree: 0, meanTemperatureC, climate: flat, season: fleetSeason, source: "fleet" };
    const adjusted = segments.map((segment) =>
      segment.map((week) => ({ ...week, value: week.value - at(term, week.at) })),
    );
    return { term, slopeSe: slopeSeOf(fitOf(adjusted, { hasTemperature: false, hasYear: false, meanTemperatureC })) };
  }
  const options = { hasTemperature, hasYear, meanTemperatureC };
  const first = fitOf(segments, options);
  const fitted = first === null ? null : fitOf(withoutOutliers(segments, first), options);
  if (fitted === null) return null;
  const [perDegree = 0] = hasTemperature ? fitted.heat : [];
  const [cos = 0, sin = 0] = hasYear ? fitted.heat.slice(hasTemperature ? 1 : 0) : [];
  const term: ThermalTerm = {
    perDegree,
    meanTemperatureC,
    climate: hasTemperature ? climateOf(weeks, meanTemperatureC) : flat,
    season: { cos, sin },
    source: hasTemperature ? "temperature" : "own year",
  };
  return { term, slopeSe: slopeSeOf(fitted) };
}

/** The thermal term of a week as it was, from its own temperature where it has one. */
export function thermalOf(
  term: ThermalTerm,
  { at: moment, temperatureC }: { at: number; temperatureC: number | null },
) {
  if (term.perDegree === 0 || temperatureC === null) return at(term, moment);
  return term.perDegree * (temperatureC - term.meanTemperatureC) + harmonicAt(term.season, moment);
}

/** The thermal term to be expected at a moment, from the detector's usual year. */
export function at(term: ThermalTerm, moment: number): number {
  return term.perDegree * harmonicAt(term.climate, moment) + harmonicAt(term.season, moment);
}

/** Peak to peak of the yearly thermal term. */
export function yearlySwing({ perDegree, climate, season }: ThermalTerm): number {
  return 2 * Math.hypot(perDegree * climate.cos + season.cos, perDegree * climate.sin + season.sin);
}

/** Value of a yearly harmonic at a moment. */
export function harmonicAt({ cos, sin }: Harmonic, moment: number): number {
  const angle = 2 * Math.PI * yearFraction(moment, "UTC");
  return cos * Math.cos(angle) + sin * Math.sin(angle);
}

type Design = { readonly hasTemperature: boolean; readonly hasYear: boolean; readonly meanTemperatureC: number };
type Fitted = { readonly fit: LinearFit; readonly heat: readonly number[]; readonly residuals: readonly number[] };

function fitOf(segments: readonly Segment[], { hasTemperature, hasYear, meanTemperatureC }: Design): Fitted | null {
  const used = segments.filter((segment) => segment.length > 0);
  const origin = used[0]?.[0]?.at ?? 0;
  const x: number[][] = [];
  const y: number[] = [];
  for (const [index, segment] of used.entries()) {
    for (const week of segment) {
      const angle = 2 * Math.PI * yearFraction(week.at, "UTC");
      const heat = [
        ...(hasTemperature ? [(week.temperatureC ?? meanTemperatureC) - meanTemperatureC] : []),
        ...(hasYear ? [Math.cos(angle), Math.sin(angle)] : []),
      ];
      x.push([...used.map((_, other) => (other === index ? 1 : 0)), (week.at - origin) / YEAR_MS, ...heat]);
      y.push(week.value);
    }
  }
  const fit = leastSquares({ x, y });
  if (fit === null) return null;
  const residuals = x.map(
    (row, i) => (y[i] ?? 0) - row.reduce((sum, value, j) => sum + value * (fit.coefficients[j] ?? 0), 0),
  );
  return { fit, heat: fit.coefficients.slice(used.length + 1), residuals };
}

function slopeSeOf(fitted: Fitted | null): number | null {
  if (fitted === null) return null;
  const { fit, heat } = fitted;
  const se = fit.standardErrors?.[fit.coefficients.length - heat.length - 1];
  return se === undefined ? null : (se * DAY_MS) / YEAR_MS;
}

function withoutOutliers(segments: readonly Segment[], { residuals }: Fitted): Segment[] {
  const scale = 1.4826 * (medianOf(residuals.map(Math.abs)) ?? 0);
  let index = -1;
  const kept = segments.map((segment) =>
    segment.filter(() => {
      index += 1;
      return scale === 0 || Math.abs(residuals[index] ?? 0) <= OUTLIER_SIGMAS * scale;
    }),
  );
  return kept.some((segment) => segment.length >= 4) ? kept : [...segments];
}

function climateOf(weeks: Segment, meanTemperatureC: number): Harmonic {
  if (weeks.length < OWN_YEAR_WEEKS) return flat;
  const known = weeks.filter((week) => week.temperatureC !== null);
  const fit = leastSquares({
    x: known.map((week) => {
      const angle = 2 * Math.PI * yearFraction(week.at, "UTC");
      return [1, Math.cos(angle), Math.sin(angle)];
    }),
    y: known.map((week) => (week.temperatureC ?? 0) - meanTemperatureC),
  });
  return { cos: fit?.coefficients[1] ?? 0, sin: fit?.coefficients[2] ?? 0 };
}
