const FULL_TURN = 2 * Math.PI;

/**
 * Exposure on the circle as a piecewise-constant density: bin edges in radians, cumulated shares, first moments and
 * the covariance of (cos, sin) under it.
 */
export type CircleExposure = {
  readonly edges: readonly number[];
  readonly cumulated: readonly number[];
  readonly meanCos: number;
  readonly meanSin: number;
  readonly varCos: number;
  readonly varSin: number;
  readonly covariance: number;
};

/**
 * Density of exposure on the circle, even inside each bin, with its exact moments.
 *
 * @param exposure - amount per bin, each at least 0, not all 0
 * @param edges - bin edges in radians from 0 to 2 pi, one more than bins; left out: equal bins
 * @throws RangeError for a negative, missing or all-zero exposure, or edges that do not rise from 0 to 2 pi
 */
export function circleExposure(
  exposure: readonly number[],
  edges: readonly number[] = equalEdges(exposure.length),
): CircleExposure {
  checkEdges(edges, exposure.length);
  let total = 0;
  for (const amount of exposure) {
    if (!(amount >= 0 && amount < Infinity)) throw new RangeError(`exposure must be finite and at least 0: ${amount}`);
    total += amount;
  }
  if (!(total > 0)) throw new RangeError("no exposure anywhere on the circle");
  const cumulated = [0];
  const moments = { cos: 0, sin: 0, cos2: 0, sin2: 0 };
  let sum = 0;
  for (const [bin, amount] of exposure.entries()) {
    const from = edges[bin] ?? 0;
    const to = edges[bin + 1] ?? FULL_TURN;
    const density = amount / total / (to - from);
    moments.cos += density * (Math.sin(to) - Math.sin(from));
    moments.sin += density * (Math.cos(from) - Math.cos(to));
    moments.cos2 += (density * (Math.sin(2 * to) - Math.sin(2 * from))) / 2;
    moments.sin2 += (density * (Math.cos(2 * from) - Math.cos(2 * to))) / 2;
    sum += amount;
    cumulated.push(sum / total);
  }
  return {
    edges,
    cumulated,
    meanCos: moments.cos,
    meanSin: moments.sin,
    varCos: (1 + moments.cos2) / 2 - moments.cos ** 2,
    varSin: (1 - moments.cos2) / 2 - moments.sin ** 2,
    covariance: moments.sin2 / 2 - moments.cos * moments.sin,
  };
}

/** The angle at which a share in [0, 1) of the exposure is reached, in radians: draws from the density. */
export function angleAtShare(share: number, { edges, cumulated }: CircleExposure): number {
  let low = 0;
  let high = cumulated.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((cumulated[middle] ?? 1) <= share) low = middle;
    else high = middle;
  }
  const below = cumulated[low] ?? 0;
  const within = (share - below) / ((cumulated[high] ?? 1) - below);
  const from = edges[low] ?? 0;
  return from + within * ((edges[high] ?? FULL_TURN) - from);
}

/** An angle in radians brought into [0, 2 pi). */
export function wrapAngle(angle: number): number {
  const wrapped = angle % FULL_TURN;
  return wrapped < 0 ? (wrapped + FULL_TURN) % FULL_TURN : wrapped;
}

function equalEdges(bins: number): number[] {
  return Array.from({ length: bins + 1 }, (_, bin) => (FULL_TURN * bin) / bins);
}

function checkEdges(edges: readonly number[], bins: number): void {
  if (bins < 1 || edges.length !== bins + 1)
    throw new RangeError(`${bins} bins need ${bins + 1} edges: ${edges.length}`);
  const first = edges[0] ?? Number.NaN;
  const last = edges[bins] ?? Number.NaN;
  if (!(first === 0 && Math.abs(last - FULL_TURN) < 1e-9))
    throw new RangeError(`edges must span 0 to 2 pi: ${first}, ${last}`);
  for (let i = 1; i <= bins; i++) {
    if (!((edges[i] ?? 0) > (edges[i - 1] ?? 0))) throw new RangeError(`edges must rise: ${edges[i]}`);
  }
}

/** Sum of unit vectors at some angles. */
export type Resultant = { readonly cos: number; readonly sin: number };

/** Resultant of angles in radians; zero for none. Throws RangeError for an angle that is no finite number. */
export function resultant(angles: readonly number[]): Resultant {
  let cos = 0;
  let sin = 0;
  for (const angle of angles) {
    if (!Number.isFinite(angle)) throw new RangeError(`angle is not a finite number: ${angle}`);
    cos += Math.cos(angle);
    sin += Math.sin(angle);
  }
  return { cos, sin };
}
