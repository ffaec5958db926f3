import type { Estimate } from "@/lib/kernel/interval";
import type { Calibration, CalibrationGroup, Coverage, JudgedKind } from "@/lib/rank/backtest/backtest-result";
import type { JudgedOrigin } from "@/lib/rank/backtest/judge-origin";
import { gammaQuantile } from "@/lib/statistics/distributions";

/** A forecast and what came, for one detector and horizon; `predicted` is already scaled to the observed part of it. */
export type Pair = {
  readonly detectorId: string;
  readonly predicted: number;
  readonly realised: number;
  /** Whether the interval held what came; null where the horizon was not observed well enough to ask. */
  readonly inside: boolean | null;
};

const GROUPS = 10;
const LEVEL = 0.9;
/** An interval is for a whole horizon; one observed less is not asked. */
const LEAST_OBSERVED = 0.9;

/** Forecasts of one kind at all origins with what came; horizons never observed are left out. */
export function pairsOf(origins: readonly JudgedOrigin[], kind: JudgedKind): Pair[] {
  return origins.flatMap(({ detectors, horizonDays }) =>
    detectors.flatMap(({ detectorId, observedDays, [kind]: count }): Pair[] => {
      const part = Math.min(1, observedDays / horizonDays);
      if (part <= 0) return [];
      const inside = part >= LEAST_OBSERVED ? count.realised >= count.low && count.realised <= count.high : null;
      return [{ detectorId, predicted: count.mean * part, realised: count.realised, inside }];
    }),
  );
}

/**
 * Calibration over all forecasts and in ten equal groups by what was expected.
 *
 * Realised over predicted has the limits of a Poisson count of O/phi events: phi, at least 1, is the variance of what
 * came at the detectors of the group against chance, each detector one unit however often its horizons overlap, and
 * never below the number of horizons an event falls in.
 *
 * @param overlap - horizons an event falls in on average, at least 1
 */
export function calibrationOf(pairs: readonly Pair[], { overlap }: { overlap: number }): Calibration {
  const ordered = [...pairs].sort((a, b) => a.predicted - b.predicted);
  const groups = Math.min(GROUPS, ordered.length);
  const edge = (group: number) => Math.round((group * ordered.length) / groups);
  return {
    overall: groupOf(ordered, { group: 0, overlap }),
    groups: Array.from({ length: groups }, (_, index) =>
      groupOf(ordered.slice(edge(index), edge(index + 1)), { group: index + 1, overlap }),
    ),
    coverage: coverageOf(ordered),
    dispersion: dispersionOf(ordered, overlap),
  };
}

/** How many of the intervals that could be asked held what came. */
export function coverageOf(pairs: readonly Pair[]): Coverage {
  return {
    inside: pairs.filter(({ inside }) => inside === true).length,
    of: pairs.filter(({ inside }) => inside !== null).length,
  };
}

function groupOf(pairs: readonly Pair[], { group, overlap }: { group: number; overlap: number }): CalibrationGroup {
  const { predicted, realised } = sumsOf(pairs);
  const dispersion = dispersionOf(pairs, overlap);
  return {
    group,
    forecasts: pairs.length,
    predicted,
    realised,
    ratio: predicted > 0 ? ratioOf({ predicted, realised, dispersion }) : null,
  };
}

function ratioOf({
  predicted,
  realised,
  dispersion,
}: {
  predicted: number;
  realised: number;
  dispersion: number;
}): Estimate {
  const rate = predicted / dispersion;
  const events = realised / dispersion;
  return {
    mean: realised / predicted,
    low: events > 0 ? gammaQuantile((1 - LEVEL) / 2, { shape: events, rate }) : 0,
    high: gammaQuantile((1 + LEVEL) / 2, { shape: events + 1, rate }),
  };
}

function dispersionOf(pairs: readonly Pair[], overlap: number): number {
  const { predicted, realised } = sumsOf(pairs);
  if (predicted <= 0 || realised === 0) return overlap;
  const byDetector = new Map<string, number>();
  for (const pair of pairs) {
    const residual = pair.realised - (realised / predicted) * pair.predicted;
    byDetector.set(pair.detectorId, (byDetector.get(pair.detectorId) ?? 0) + residual);
  }
  const squares = [...byDetector.values()].reduce((sum, residual) => sum + residual ** 2, 0);
  return Math.max(overlap, squares / realised);
}

function sumsOf(pairs: readonly Pair[]): { predicted: number; realised: number } {
  return {
    predicted: pairs.reduce((sum, pair) => sum + pair.predicted, 0),
    realised: pairs.reduce((sum, pair) => sum + pair.realised, 0),
  };
}
