import { waves } from "@/lib/statistics/harmonic-poisson";
import type { Integral } from "@/lib/statistics/operational-time";

const CELLS = 720;

/**
 * Integral of a relative season exp(sum of c_h cos h angle + s_h sin h angle), scaled to a mean of 1 over a period, so
 * that weighted exposure keeps its unit.
 *
 * @param coefficients - c_1, s_1, c_2, s_2, ... on the log scale, as `harmonicPoisson` fits them; none: no season
 * @param period - above 0
 * @param origin - a moment at which the angle is 0
 * @returns amount between two moments, exact to about 1e-6 of a period; its cost does not grow with their distance
 * @throws RangeError for an odd number of coefficients or an impossible period
 */
export function seasonIntegral({
  coefficients,
  period,
  origin,
}: {
  coefficients: readonly number[];
  period: number;
  origin: number;
}): Integral {
  if (!(period > 0 && period < Infinity)) throw new RangeError(`period must be finite and above 0: ${period}`);
  if (coefficients.length % 2 !== 0) throw new RangeError(`cos and sin come in pairs: ${coefficients.length}`);
  const rate = (angle: number) =>
    Math.exp(waves(angle, coefficients.length / 2).reduce((sum, wave, k) => sum + wave * (coefficients[k] ?? 0), 0));
  const width = (2 * Math.PI) / CELLS;
  const areas = Array.from({ length: CELLS }, (_, cell) => {
    return (rate(cell * width) + 4 * rate((cell + 0.5) * width) + rate((cell + 1) * width)) / 6;
  });
  const mean = areas.reduce((sum, area) => sum + area, 0) / CELLS;
  return cyclicIntegral({ cells: areas.map((area) => area / mean), period, origin });
}

/**
 * Integral of an intensity that is even inside each of some equal parts of a cycle, and the same in every cycle.
 *
 * @param cells - intensity in each part, at least one part
 * @param period - length of a cycle, above 0
 * @param origin - a moment at which a cycle begins
 * @returns amount between two moments; its cost does not grow with their distance
 * @throws RangeError for no part or an impossible period
 */
export function cyclicIntegral({
  cells,
  period,
  origin,
}: {
  cells: readonly number[];
  period: number;
  origin: number;
}): Integral {
  if (!(period > 0 && period < Infinity)) throw new RangeError(`period must be finite and above 0: ${period}`);
  if (cells.length === 0) throw new RangeError("a cycle needs at least one part");
  const cumulated = new Float64Array(cells.length + 1);
  for (const [cell, amount] of cells.entries()) cumulated[cell + 1] = (cumulated[cell] ?? 0) + amount / cells.length;
  const whole = cumulated[cells.length] ?? 0;
  const upTo = (moment: number) => {
    const turns = (moment - origin) / period;
    const full = Math.floor(turns);
    const place = (turns - full) * cells.length;
    const cell = Math.min(cells.length - 1, Math.floor(place));
    const below = cumulated[cell] ?? 0;
    return period * (full * whole + below + (place - cell) * ((cumulated[cell + 1] ?? 0) - below));
  };
  return (start, end) => upTo(end) - upTo(start);
}
