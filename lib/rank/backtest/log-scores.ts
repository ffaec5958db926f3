import type { JudgedKind, LogScores } from "@/lib/rank/backtest/backtest-result";
import type { JudgedCount, JudgedOrigin } from "@/lib/rank/backtest/judge-origin";
import { negativeBinomialLogPmf } from "@/lib/statistics/distributions";

/**
 * Mean log scores of one kind over all forecasts whose horizon was observed at all; null when there are none.
 *
 * Ours is a negative binomial count of its mean and variance, the simple ones are Poisson counts; each mean is scaled to
 * the part of the horizon that was observed.
 */
export function logScores(origins: readonly JudgedOrigin[], kind: JudgedKind): LogScores | null {
  const scored = origins.flatMap(({ detectors, horizonDays }) =>
    detectors.flatMap(({ observedDays, [kind]: count }) =>
      observedDays > 0 ? [{ count, part: Math.min(1, observedDays / horizonDays) }] : [],
    ),
  );
  if (scored.length === 0) return null;
  const meanOf = (score: (count: JudgedCount, part: number) => number) =>
    scored.reduce((sum, { count, part }) => sum + score(count, part), 0) / scored.length;
  return {
    forecasts: scored.length,
    ours: meanOf(({ realised, mean, variance }, part) =>
      logScore(realised, { mean: mean * part, size: sizeOf(mean, variance) }),
    ),
    oursAsPoisson: meanOf(({ realised, mean }, part) => poissonScore(realised, mean * part)),
    pooledRate: meanOf(({ realised, simple }, part) => poissonScore(realised, simple.pooledRate * part)),
    ownRate: meanOf(({ realised, simple }, part) => poissonScore(realised, simple.ownRate * part)),
    lastYear: meanOf(({ realised, simple }, part) => poissonScore(realised, simple.lastYear * part)),
  };
}

function poissonScore(realised: number, mean: number): number {
  return logScore(realised, { mean, size: Infinity });
}

/** A forecast of nought that is wrong must cost much and not everything, or one such would hide all the others. */
const LEAST_MEAN = 1e-6;

function logScore(realised: number, { mean, size }: { mean: number; size: number }): number {
  return -negativeBinomialLogPmf(realised, { mean: Math.max(LEAST_MEAN, mean), size });
}

function sizeOf(mean: number, variance: number): number {
  return variance > mean * (1 + 1e-9) ? mean ** 2 / (variance - mean) : Infinity;
}
