import { type Harmonic, type ThermalTerm, thermalFit, thermalOf } from "@/lib/analyse/drift/thermal";
import type { Quantity, Segment } from "@/lib/analyse/drift/weeks";
import { DAY_MS } from "@/lib/kernel/units";
import { medianOf } from "@/lib/statistics/descriptive";
import { segmentedTheilSen } from "@/lib/statistics/slope";

/** A robust line through the segments of one quantity, and what it needs to be carried on. Unit: dB or %, by day. */
export type DriftFit = {
  readonly quantity: Quantity;
  /** Value at which the detector gives a fault or a fire signal. */
  readonly limit: number;
  readonly segments: readonly Segment[];
  readonly term: ThermalTerm;
  /** Rise of the value per day; above 0 is worse. */
  readonly slope: number;
  readonly slopeSe: number;
  /** Weeks that count as independent, after correlation between neighbours. */
  readonly effectiveWeeks: number;
  /** Value without thermal term at `levelAt`, from the last segment. */
  readonly level: number;
  readonly levelSe: number;
  readonly levelAt: number;
  /** Spread of weekly values around the line. */
  readonly sd: number;
  readonly weeks: number;
};

/** Fewest weeks with readings for a drift to be judged. */
export const LEAST_WEEKS = 13;
const LEAST_SEGMENT = 4;
const LAST_WEEKS = 26;
const SMALLEST_SD: Readonly<Record<Quantity, number>> = { signal: 0.015, compensation: 0.3 };

/**
 * Fits the drift of one quantity: thermal term off, then the median slope over pairs inside segments.
 *
 * The standard error is the larger of Sen's and the joint least-squares one (which knows how far slope and season can
 * be told apart), widened for correlation between neighbouring weeks.
 *
 * @returns null when there is too little: fewer than 13 weeks, no segment of 4, or season and drift not separable
 */
export function fitDrift(
  segments: readonly Segment[],
  {
    quantity,
    limit,
    asOf,
    fleetSeason,
  }: { quantity: Quantity; limit: number; asOf: number; fleetSeason: Harmonic | null },
): DriftFit | null {
  const usable = segments.filter((segment) => segment.length >= LEAST_SEGMENT);
  const weeks = usable.reduce((sum, segment) => sum + segment.length, 0);
  if (weeks < LEAST_WEEKS) return null;
  const thermal = thermalFit(usable, { fleetSeason });
  if (thermal === null) return null;
  const adjusted = usable.map((segment) => ({
    t: segment.map((week) => week.at / DAY_MS),
    y: segment.map((week) => week.value - thermalOf(thermal.term, week)),
  }));
  const line = segmentedTheilSen({ segments: adjusted });
  if (line.slope === null || line.low === null || line.high === null) return null;
  const { slope } = line;
  const residuals = adjusted.map(({ t, y }) => residualsOf(t, y, slope));
  const sd = Math.max(SMALLEST_SD[quantity], 1.4826 * (medianOf(residuals.flat().map(Math.abs)) ?? 0));
  const widen = correlationFactor(residuals, sd);
  const spanDays = Math.max(...adjusted.map(({ t }) => (t.at(-1) ?? 0) - (t[0] ?? 0)), 7);
  const floor = (SMALLEST_SD[quantity] * Math.sqrt(12 / weeks)) / spanDays;
  const sen = (line.high - line.low) / (2 * 1.96);
  const slopeSe = Math.max(floor, Math.max(sen, thermal.slopeSe ?? 0) * Math.sqrt(widen));
  const last = lastLevel(segments, { term: thermal.term, slope, sd, asOf });
  return {
    quantity,
    limit,
    segments,
    term: thermal.term,
    slope,
    slopeSe,
    effectiveWeeks: weeks / widen,
    ...last,
    levelSe: last.levelSe * Math.sqrt(widen),
    sd,
    weeks,
  };
}

function residualsOf(t: readonly number[], y: readonly number[], slope: number): number[] {
  const rest = y.map((value, index) => value - slope * (t[index] ?? 0));
  const middle = medianOf(rest) ?? 0;
  return rest.map((value) => value - middle);
}

// Variance of a mean of correlated values against independent ones, (1 + r) / (1 - r), from neighbours in a segment.
function correlationFactor(residuals: readonly (readonly number[])[], sd: number): number {
  let products = 0;
  let squares = 0;
  let pairs = 0;
  const bound = 3 * sd;
  const clip = (value: number) => Math.max(-bound, Math.min(bound, value));
  for (const segment of residuals) {
    for (const [index, value] of segment.entries()) {
      squares += clip(value) ** 2;
      if (index === 0) continue;
      products += clip(value) * clip(segment[index - 1] ?? 0);
      pairs += 1;
    }
  }
  if (squares === 0 || pairs < 8) return 1;
  // Residuals around a fitted line lean to a negative correlation of about -1 / n a fitted number (Kendall's bias).
  const correlation = Math.min(0.9, Math.max(0, products / squares + 3 / pairs));
  return (1 + correlation) / (1 - correlation);
}

function lastLevel(
  segments: readonly Segment[],
  { term, slope, sd, asOf }: { term: ThermalTerm; slope: number; sd: number; asOf: number },
): Pick<DriftFit, "level" | "levelSe" | "levelAt"> {
  const last = (segments.at(-1) ?? []).slice(-LAST_WEEKS);
  const levelAt = last.at(-1)?.at ?? asOf;
  const levels = last.map((week) => week.value - thermalOf(term, week) - (slope * (week.at - levelAt)) / DAY_MS);
  return { level: medianOf(levels) ?? 0, levelSe: (1.2533 * sd) / Math.sqrt(Math.max(1, levels.length)), levelAt };
}
