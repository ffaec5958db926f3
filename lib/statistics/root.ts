/**
 * Root of a continuous function between two points of opposite sign (Brent's method: secant steps, bisection when
 * they stall).
 *
 * @param f - continuous on [low, high], with f(low) and f(high) of opposite sign or one of them 0
 * @param tolerance - absolute width at which to stop; unless told, the precision of a double over the whole bracket
 * @returns x with f(x) = 0 to that width
 * @throws RangeError when both ends have the same sign
 *
 * Source: Brent (1973), Algorithms for Minimization without Derivatives, ch. 4 (from memory). Cost: about 10 calls.
 */
export function findRoot(
  f: (x: number) => number,
  { low, high, tolerance = Number.EPSILON * Math.abs(high - low) }: { low: number; high: number; tolerance?: number },
): number {
  let a = low;
  let b = high;
  let fa = f(a);
  let fb = f(b);
  if (!(fa * fb <= 0)) throw new RangeError(`no change of sign between ${low} (${fa}) and ${high} (${fb})`);
  let c = a;
  let fc = fa;
  let step = b - a;
  let before = step;
  for (let round = 0; round < 300; round++) {
    if (fb * fc > 0) {
      c = a;
      fc = fa;
      step = b - a;
      before = step;
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      [a, b, c] = [b, c, b];
      [fa, fb, fc] = [fb, fc, fb];
    }
    const width = 2 * Number.EPSILON * Math.abs(b) + tolerance / 2;
    const half = (c - b) / 2;
    if (Math.abs(half) <= width || fb === 0) return b;
    const guess = interpolate({ a, b, c, fa, fb, fc, half });
    if (Math.abs(before) < width || Math.abs(fa) <= Math.abs(fb) || guess === null || !fits(guess, half, before)) {
      step = half;
      before = half;
    } else {
      before = step;
      step = guess;
    }
    a = b;
    fa = fb;
    b += Math.abs(step) > width ? step : Math.sign(half) * Math.max(width, Number.MIN_VALUE);
    fb = f(b);
  }
  return b;
}

function fits(guess: number, half: number, before: number): boolean {
  return guess * half > 0 && Math.abs(guess) < 1.5 * Math.abs(half) && Math.abs(guess) < Math.abs(before) / 2;
}

type Points = { a: number; b: number; c: number; fa: number; fb: number; fc: number; half: number };

function interpolate({ a, b, c, fa, fb, fc, half }: Points): number | null {
  const s = fb / fa;
  const secant = a === c;
  const q = fa / fc;
  const r = fb / fc;
  const p = secant ? 2 * half * s : s * (2 * half * q * (q - r) - (b - a) * (r - 1));
  const under = secant ? 1 - s : (q - 1) * (r - 1) * (s - 1);
  return under === 0 ? null : -p / under;
}
