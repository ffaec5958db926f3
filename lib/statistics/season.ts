import {
  angleAtShare,
  type CircleExposure,
  circleExposure,
  type Resultant,
  resultant,
  wrapAngle,
} from "@/lib/statistics/circle";

/** Angles of events in radians and the exposure they stand against, by bins of the circle (equal unless edges given). */
export type EventsOnCircle = {
  readonly angles: readonly number[];
  readonly exposure: readonly number[];
  readonly edges?: readonly number[];
};

/** Weighted Rayleigh statistic, its chi-square p-value and the direction events lean to (null without events). */
export type WeightedRayleigh = {
  readonly n: number;
  readonly q: number;
  readonly p: number;
  readonly peakAngle: number | null;
};

const RAISE_BELOW = 10;

/**
 * Rayleigh (score) test of a single preferred direction on the circle, with uneven exposure taken into account.
 *
 * Null hypothesis: events fall like the exposure. Q = d' (n V)^-1 d with d the sum of unit vectors less n times the
 * exposure's mean vector and V the exposure's covariance of (cos, sin): the score test of a one-harmonic Poisson
 * model; asymptotically chi-square with 2 degrees, conservative for few events. Even exposure gives 2 n R².
 *
 * @param angles - radians, any turn; may be empty
 * @param exposure - amount per bin of the circle, each at least 0, not all 0
 * @param edges - bin edges in radians from 0 to 2 pi; left out: equal bins
 * @returns q and p = exp(-q / 2); no event: q 0, p 1, no peak
 * @throws RangeError for impossible exposure, edges or angles
 *
 * Source: McCullagh and Nelder (1989), Generalized Linear Models (from memory); derivation our own. Cost: O(n + bins).
 */
export function exposureWeightedRayleigh({ angles, exposure, edges }: EventsOnCircle): WeightedRayleigh {
  const circle = circleExposure(exposure, edges);
  const n = angles.length;
  if (n === 0) return { n, q: 0, p: 1, peakAngle: null };
  const { cos, sin } = resultant(angles);
  const q = scoreStatistic({ cos, sin, n }, circle);
  const peakAngle = wrapAngle(Math.atan2(sin - n * circle.meanSin, cos - n * circle.meanCos));
  return { n, q, p: Math.exp(-q / 2), peakAngle };
}

/**
 * Monte Carlo p-value of the weighted Rayleigh statistic, given the number of events: exact whatever the exposure.
 *
 * Draws n angles from the exposure again and again; p = (1 + draws with Q* >= Q) / (draws + 1). While p < 10 / draws
 * the draws are raised tenfold, up to `maxDraws`, because a fleet-wide limit needs p-values that small.
 *
 * @param draws - first number of draws, 1999 is usual
 * @param maxDraws - 99 999 unless told
 * @param random - uniform on [0, 1), seeded by the caller so that a rerun gives the same answer
 * @returns p in (0, 1]; no event: 1
 * @throws RangeError for impossible exposure, edges, angles or draws
 *
 * Source: Davison and Hinkley (1997), Bootstrap Methods and their Application, ch. 4 (from memory). Cost: draws x n.
 */
export function conditionalMonteCarlo({
  draws,
  maxDraws = 99_999,
  random,
  ...events
}: EventsOnCircle & { draws: number; maxDraws?: number; random: () => number }): number {
  if (!(Number.isInteger(draws) && draws >= 1)) throw new RangeError(`draws must be whole and above 0: ${draws}`);
  const circle = circleExposure(events.exposure, events.edges);
  const n = events.angles.length;
  if (n === 0) return 1;
  // A draw that repeats the observed statistic but for rounding counts as a repeat.
  const reached = scoreStatistic({ ...resultant(events.angles), n }, circle) * (1 - 1e-12);
  const units = unitVectors(circle);
  let done = 0;
  let exceeding = 0;
  let goal = draws;
  for (;;) {
    for (; done < goal; done++) {
      if (drawnStatistic({ n, circle, units, random }) >= reached) exceeding++;
    }
    const p = (1 + exceeding) / (done + 1);
    if (p >= RAISE_BELOW / done || done >= maxDraws) return p;
    goal = Math.min(maxDraws, (done + 1) * 10 - 1);
  }
}

// Cosines and sines at evenly spaced shares of the exposure: a draw is one look-up, and a step is far below any bin.
const STEPS = 4096;

type Units = { readonly cos: Float64Array; readonly sin: Float64Array };

function unitVectors(circle: CircleExposure): Units {
  const angles = Float64Array.from({ length: STEPS }, (_, step) => angleAtShare((step + 0.5) / STEPS, circle));
  return { cos: angles.map(Math.cos), sin: angles.map(Math.sin) };
}

type Draw = {
  readonly n: number;
  readonly circle: CircleExposure;
  readonly units: Units;
  readonly random: () => number;
};

function drawnStatistic({ n, circle, units, random }: Draw): number {
  let cos = 0;
  let sin = 0;
  for (let i = 0; i < n; i++) {
    const step = Math.floor(random() * STEPS);
    cos += units.cos[step] ?? 0;
    sin += units.sin[step] ?? 0;
  }
  return scoreStatistic({ cos, sin, n }, circle);
}

function scoreStatistic({ cos, sin, n }: Resultant & { n: number }, circle: CircleExposure): number {
  const dCos = cos - n * circle.meanCos;
  const dSin = sin - n * circle.meanSin;
  const { varCos, varSin, covariance } = circle;
  const determinant = varCos * varSin - covariance * covariance;
  return (varSin * dCos * dCos - 2 * covariance * dCos * dSin + varCos * dSin * dSin) / (n * determinant);
}
