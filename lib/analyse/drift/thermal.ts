import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import { leastSquares } from "@/lib/statistics/least-squares";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** One turn a year: value = cos x cos(angle) + sin x sin(angle), the angle counted in years of 365.25 days from 1970. */
export type Harmonic = { readonly cos: number; readonly sin: number };

/** What moves with heat and season, to be taken off before the drift is read; in the unit of the value. */
export type ThermalTerm = {
  /** Change of the value per degree away from the temperature at the last alignment, and per degree squared. */
  readonly perDegree: number;
  readonly perSquare: number;
  /** Temperature at the alignment in force at the end of the record. */
  readonly setC: number;
  /** The detector's usual year of temperature, null where it is not known. */
  readonly climate: Climate | null;
  /** What the season adds beside temperature. */
  readonly season: Harmonic;
  /** Mean of all this over a year, which belongs to the level. */
  readonly yearMean: number;
  /** What a usual day adds at its worst hour, beside its median, per unit of the slope against temperature. */
  readonly halfDayC: number;
  readonly halfDayMost: number;
  /** Days by which the building was taken to follow the air. */
  readonly lagDays: number;
  /** Where the season came from. */
  readonly source: "temperature" | "own year" | "fleet" | "none";
};

/** A year of temperature: mean, harmonic, spread of a week around it, and the ends of what was seen. */
export type Climate = {
  readonly meanC: number;
  readonly harmonic: Harmonic;
  readonly spreadC: number;
  readonly lowC: number;
  readonly highC: number;
};

/** No yearly movement. */
export const flat: Harmonic = { cos: 0, sin: 0 };
const YEAR_DAYS = YEAR_MS / DAY_MS;
const LEAST_CLIMATE_WEEKS = 40;

/** Angle of a moment on the year, radians. */
export function yearAngle(day: number): number {
  return (2 * Math.PI * day) / YEAR_DAYS;
}

/** Value of a yearly harmonic at a moment in days since 1970. */
export function harmonicAt({ cos, sin }: Harmonic, day: number): number {
  const angle = yearAngle(day);
  return cos * Math.cos(angle) + sin * Math.sin(angle);
}

/** What heat and season do at a moment of the detector's usual year. */
export type Usual = {
  /** Degrees away from the last alignment, inside what was seen; 0 without a climate. */
  readonly awayC: number;
  readonly value: number;
  /** Change of the value per degree there. */
  readonly steepness: number;
  /** What the worst hour of a usual day adds; at least 0. */
  readonly worst: number;
};

/** The thermal term to be expected at a moment in days since 1970, from the detector's usual year. */
export function usualAt(term: ThermalTerm, day: number): Usual {
  const angle = yearAngle(day);
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const { climate, season } = term;
  let awayC = 0;
  if (climate !== null) {
    const usual = climate.meanC + climate.harmonic.cos * cos + climate.harmonic.sin * sin;
    awayC = Math.min(climate.highC, Math.max(climate.lowC, usual)) - term.setC;
  }
  const heat = (term.perDegree + term.perSquare * awayC) * awayC;
  const steepness = term.perDegree + 2 * term.perSquare * awayC;
  const worst = Math.min(term.halfDayMost, Math.abs(steepness) * term.halfDayC);
  return { awayC, value: heat + season.cos * cos + season.sin * sin - term.yearMean, steepness, worst };
}

/** The thermal term of a week as it was, from its own degrees away from its alignment. */
export function thermalOf(term: ThermalTerm, { day, awayC }: { day: number; awayC: number }): number {
  return (term.perDegree + term.perSquare * awayC) * awayC + harmonicAt(term.season, day) - term.yearMean;
}

/** Mean over a year of a term whose own mean is not taken off yet. */
export function yearMeanOf(term: ThermalTerm, fromDay: number): number {
  let sum = 0;
  for (let week = 0; week < 52; week += 1) sum += usualAt(term, fromDay + (week * YEAR_DAYS) / 52).value;
  return sum / 52;
}

/** Lowest and highest value of the thermal term in a usual year, the worst hour of the day added to the highest. */
export function yearlyRange(term: ThermalTerm, fromDay: number): { readonly low: number; readonly high: number } {
  let low = Infinity;
  let high = -Infinity;
  for (let week = 0; week < 52; week += 1) {
    const { value, worst } = usualAt(term, fromDay + (week * YEAR_DAYS) / 52);
    low = Math.min(low, value);
    high = Math.max(high, value + worst);
  }
  return { low, high };
}

/**
 * The usual year of a temperature that was sent with the weeks, NaN where it was not.
 *
 * @param fleet - yearly harmonic of the other detectors' temperatures, for records below 40 weeks; null: none known
 * @returns null when no temperature was sent
 */
export function climateOf(
  { day, temperatureC }: { day: Float64Array; temperatureC: Float64Array },
  fleet: Harmonic | null,
): Climate | null {
  const x: number[][] = [];
  const y: number[] = [];
  for (const [row, temperature] of temperatureC.entries()) {
    if (Number.isNaN(temperature)) continue;
    const angle = yearAngle(day[row] ?? 0);
    x.push([1, Math.cos(angle), Math.sin(angle)]);
    y.push(temperature);
  }
  if (y.length === 0) return null;
  const own = y.length >= LEAST_CLIMATE_WEEKS ? leastSquares({ x, y }) : null;
  const known = own ? { cos: own.coefficients[1] ?? 0, sin: own.coefficients[2] ?? 0 } : (fleet ?? flat);
  const wave = ([, cos = 0, sin = 0]: readonly number[]) => known.cos * cos + known.sin * sin;
  const rest = Float64Array.from(y, (value, index) => value - wave(x[index] ?? []));
  const meanC = medianInPlace(rest.slice()) ?? 0;
  const spreadC = 1.4826 * (medianInPlace(rest.map((value) => Math.abs(value - meanC))) ?? 0);
  const reach = own ? 0 : Math.hypot(known.cos, known.sin);
  return {
    meanC,
    harmonic: known,
    spreadC: own || fleet ? spreadC : Math.max(spreadC, UNKNOWN_YEAR_C),
    lowC: Math.min(...y, meanC - reach),
    highC: Math.max(...y, meanC + reach),
  };
}

// A hall whose year of temperature nobody has seen may be this much warmer or colder than the weeks that were.
const UNKNOWN_YEAR_C = 6;
