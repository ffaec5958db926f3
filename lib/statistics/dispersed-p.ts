import { normalQuantile, normalUpper } from "@/lib/statistics/distributions";

/**
 * One-sided p-value of a test that took counts for independent which vary `dispersion` times as much: its normal
 * deviate is divided by the root of the dispersion, as quasi-likelihood does.
 *
 * @param p - in [0, 1]; one of a half or more stays as it is
 * @param dispersion - variance over chance; 1 or less changes nothing
 * Source: McCullagh and Nelder (1989), Generalized Linear Models, ch. 4 (from memory).
 */
export function dispersedP(p: number, dispersion: number): number {
  if (!(dispersion > 1) || p >= 0.5) return p;
  return normalUpper(-normalQuantile(Math.max(p, 1e-300)) / Math.sqrt(dispersion));
}
