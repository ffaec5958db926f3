const LONGEST = 400;
const STEP = 0.02;
const FEWEST = 5;

/**
 * Exact chance that n random unit vectors add up to a length of at least `length`: 1 - R int J0(u)^n J1(R u) du
 * (Kluyver), by Simpson's rule; good to about 1e-6, so of no use for smaller chances.
 *
 * @param n - whole, at least 5: the integral converges too slowly below
 * @param length - 0 to n
 * @throws RangeError outside these limits. Cost: 20 000 Bessel functions; meant for checks.
 * Source: Kluyver (1906); Bessel functions after Abramowitz and Stegun 9.4.1-9.4.6 (from memory).
 */
export function rayleighExact(n: number, length: number): number {
  if (!(Number.isInteger(n) && n >= FEWEST)) throw new RangeError(`exact Rayleigh needs at least ${FEWEST}: ${n}`);
  if (!(length >= 0 && length <= n)) throw new RangeError(`length outside 0 to ${n}: ${length}`);
  const steps = LONGEST / STEP;
  let sum = 0;
  for (let i = 0; i <= steps; i++) {
    const u = i * STEP;
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * besselJ0(u) ** n * besselJ1(length * u);
  }
  return Math.min(1, Math.max(0, 1 - (length * sum * STEP) / 3));
}

function polynomial(x: number, coefficients: readonly number[]): number {
  return coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0);
}

const J0_NEAR = [1, -2.2499997, 1.2656208, -0.3163866, 0.0444479, -0.0039444, 0.00021];
const J0_SIZE = [0.79788456, -7.7e-7, -0.0055274, -9.512e-5, 0.00137237, -7.2805e-4, 1.4476e-4];
const J0_PHASE = [-0.78539816, -0.04166397, -3.954e-5, 0.00262573, -5.4125e-4, -2.9333e-4, 1.3558e-4];
const J1_NEAR = [0.5, -0.56249985, 0.21093573, -0.03954289, 0.00443319, -3.1761e-4, 1.109e-5];
const J1_SIZE = [0.79788456, 1.56e-6, 0.01659667, 1.7105e-4, -0.00249511, 0.00113653, -2.0033e-4];
const J1_PHASE = [-2.35619449, 0.12499612, 5.65e-5, -0.00637879, 7.4348e-4, 7.9824e-4, -2.9166e-4];

function besselJ0(x: number): number {
  if (x <= 3) return polynomial((x / 3) ** 2, J0_NEAR);
  const y = 3 / x;
  return (polynomial(y, J0_SIZE) * Math.cos(x + polynomial(y, J0_PHASE))) / Math.sqrt(x);
}

function besselJ1(x: number): number {
  if (x <= 3) return x * polynomial((x / 3) ** 2, J1_NEAR);
  const y = 3 / x;
  return (polynomial(y, J1_SIZE) * Math.cos(x + polynomial(y, J1_PHASE))) / Math.sqrt(x);
}
