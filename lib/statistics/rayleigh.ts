import { wrapAngle } from "@/lib/statistics/circle";
import { chiSquareUpper } from "@/lib/statistics/distributions";

/**
 * Rayleigh's test with even exposure. `meanDirection` is null when the directions cancel out. `p` is the one to use
 * (Zar; 1 for fewer than two events); `pSeries` is the four-term series below 50 events, `pLarge` = exp(-z).
 */
export type Rayleigh = {
  readonly n: number;
  readonly rBar: number;
  readonly meanDirection: number | null;
  readonly z: number;
  readonly p: number;
  readonly pZar: number;
  readonly pSeries: number;
  readonly pLarge: number;
};

const CANCELLED = 1e-12;

/**
 * Rayleigh's test of a single preferred direction, for even exposure over the circle.
 *
 * @param angles - radians; at least one
 * @throws RangeError for an empty list or an angle that is not finite
 * Source: Zar (2010), Biostatistical Analysis, eq. 27.4; Mardia (1972) for the series (both from memory).
 */
export function rayleigh(angles: readonly number[]): Rayleigh {
  const n = angles.length;
  if (n === 0) throw new RangeError("no angle to test");
  let cos = 0;
  let sin = 0;
  for (const angle of angles) {
    if (!Number.isFinite(angle)) throw new RangeError(`angle is not a finite number: ${angle}`);
    cos += Math.cos(angle);
    sin += Math.sin(angle);
  }
  const length = Math.min(n, Math.hypot(cos, sin));
  const rBar = length / n < CANCELLED ? 0 : length / n;
  const z = n * rBar * rBar;
  const pZar = Math.min(1, Math.exp(Math.sqrt(1 + 4 * n + 4 * (n * n - (n * rBar) ** 2)) - (1 + 2 * n)));
  const pLarge = Math.exp(-z);
  const series = 1 + (2 * z - z ** 2) / (4 * n) - (24 * z - 132 * z ** 2 + 76 * z ** 3 - 9 * z ** 4) / (288 * n * n);
  const pSeries = n < 50 ? Math.min(1, Math.max(0, pLarge * series)) : pLarge;
  const meanDirection = rBar === 0 ? null : wrapAngle(Math.atan2(sin, cos));
  return { n, rBar, meanDirection, z, p: n < 2 ? 1 : pZar, pZar, pSeries, pLarge };
}

/**
 * Chi-square of counts per cell against exposure. Only trustworthy with about 5 expected in each cell.
 *
 * @param counts, exposure - per cell; cells without exposure are left out
 * @returns df = cells with exposure - 1; no event or fewer than two cells: statistic 0, p 1
 * @throws RangeError for unequal lengths
 */
export function exposureChiSquare({ counts, exposure }: { counts: readonly number[]; exposure: readonly number[] }) {
  if (counts.length !== exposure.length) throw new RangeError(`${counts.length} counts, ${exposure.length} exposures`);
  let total = 0;
  let events = 0;
  let cells = 0;
  for (const [i, amount] of exposure.entries()) {
    if (amount <= 0) continue;
    total += amount;
    events += counts[i] ?? 0;
    cells++;
  }
  if (events === 0 || cells < 2) return { chiSquare: 0, df: Math.max(0, cells - 1), p: 1 };
  let chiSquare = 0;
  for (const [i, amount] of exposure.entries()) {
    if (amount <= 0) continue;
    const expected = (events * amount) / total;
    chiSquare += ((counts[i] ?? 0) - expected) ** 2 / expected;
  }
  return { chiSquare, df: cells - 1, p: chiSquareUpper(chiSquare, cells - 1) };
}
