/**
 * The only conversions between signal, attenuation and obscuration.
 *
 * Signal s % is received power over the power stored at the last set-up; attenuation A = -10 log10(s / 100) dB;
 * obscuration O = 100 - s %. Source: EN 54-12 (definition of attenuation, from memory).
 */

/** Attenuation in dB of a signal in percent; null for a signal of 0 %, whose attenuation has no number. */
export function attenuationDb(signalPct: number): number | null {
  if (!(signalPct >= 0)) throw new RangeError(`signal below 0 %: ${signalPct}`);
  return signalPct === 0 ? null : -10 * Math.log10(signalPct / 100);
}

/** Signal in percent left by an attenuation in dB. */
export function signalPctOf(attenuation: number): number {
  if (!Number.isFinite(attenuation)) throw new RangeError(`attenuation is not a number: ${attenuation}`);
  return 100 * 10 ** (-attenuation / 10);
}

/** Attenuation in dB at an obscuration in percent, 0 <= O < 100. */
export function attenuationOfObscuration(obscurationPct: number): number {
  if (!(obscurationPct >= 0 && obscurationPct < 100)) {
    throw new RangeError(`obscuration outside 0..100 %: ${obscurationPct}`);
  }
  return -10 * Math.log10(1 - obscurationPct / 100);
}

/** Obscuration in percent of an attenuation in dB. */
export function obscurationPctOf(attenuation: number): number {
  return 100 - signalPctOf(attenuation);
}

/** Optical density (bel) of an attenuation in dB. */
export function opticalDensityOf(attenuation: number): number {
  return attenuation / 10;
}

/** Obscuration in % per metre that gives `obscurationPct` over the whole path: 100 (1 - T^(1/L)). */
export function obscurationPctPerMetre(obscurationPct: number, pathLengthM: number): number {
  if (!(pathLengthM > 0)) throw new RangeError(`path length must be positive: ${pathLengthM}`);
  if (!(obscurationPct >= 0 && obscurationPct < 100)) {
    throw new RangeError(`obscuration outside 0..100 %: ${obscurationPct}`);
  }
  return 100 * (1 - (1 - obscurationPct / 100) ** (1 / pathLengthM));
}

/** One minute in milliseconds. */
export const MINUTE_MS = 60_000;
/** One hour in milliseconds. */
export const HOUR_MS = 3_600_000;
/** One day of 24 hours in milliseconds. */
export const DAY_MS = 86_400_000;
/** One Julian year of 365.25 days in milliseconds. */
export const YEAR_MS = 365.25 * DAY_MS;
/** Degrees to radians. */
export const RADIANS_PER_DEGREE = Math.PI / 180;
