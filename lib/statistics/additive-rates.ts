import { poissonUpper } from "@/lib/statistics/distributions";

/** Events of a unit and its exposures to several sources of them, each at least 0. */
export type AdditiveUnit = { readonly observed: number; readonly exposures: readonly number[] };

const ROUNDS = 10;
const STEPS = 60;
const APART_P = 0.01;

/**
 * Rates of several sources that add up: events of a unit are Poisson(Σ rateₖ exposureₖ), rates at least 0.
 *
 * Units with two or more events whose chance is at most 1 % are left out of the next of up to ten rounds: they are those
 * looked for, and must not teach what is usual.
 *
 * @returns one rate a source; a source without exposure has 0, and no unit gives []
 * @throws RangeError for a negative count or exposure, or units with unlike numbers of exposures
 * Source: EM for a sum of Poisson counts, Shepp and Vardi (1982), from memory. Cost: O(units × sources × steps).
 */
export function additiveRates(units: readonly AdditiveUnit[]): number[] {
  const sources = units[0]?.exposures.length ?? 0;
  for (const { observed, exposures } of units) {
    if (exposures.length !== sources) throw new RangeError(`unlike numbers of exposures: ${exposures.length}`);
    if (!(observed >= 0) || exposures.some((exposure) => !(exposure >= 0))) {
      throw new RangeError(`impossible unit: ${observed} events of exposures ${exposures.join(", ")}`);
    }
  }
  let rates = climb(units, sources);
  let kept = units.length;
  for (let round = 1; round < ROUNDS; round += 1) {
    const known = rates;
    const usual = units.filter(({ observed, exposures }) => {
      return observed < 2 || poissonUpper(observed, expectedAt(exposures, known)) > APART_P;
    });
    if (usual.length === kept) break;
    kept = usual.length;
    rates = climb(usual, sources);
  }
  return rates;
}

/** Events expected of exposures at rates. */
export function expectedAt(exposures: readonly number[], rates: readonly number[]): number {
  return exposures.reduce((sum, exposure, source) => sum + exposure * (rates[source] ?? 0), 0);
}

function climb(units: readonly AdditiveUnit[], sources: number): number[] {
  const totals = Array.from({ length: sources }, (_, source) =>
    units.reduce((sum, { exposures }) => sum + (exposures[source] ?? 0), 0),
  );
  const events = units.reduce((sum, { observed }) => sum + observed, 0);
  // Every source begins with an equal part of the events.
  let rates = totals.map((total) => (total > 0 ? events / (sources * total) : 0));
  for (let step = 0; step < STEPS; step += 1) {
    const known = rates;
    const shares = new Array<number>(sources).fill(0);
    for (const { observed, exposures } of units) {
      if (observed === 0) continue;
      const expected = expectedAt(exposures, known);
      if (!(expected > 0)) continue;
      for (let source = 0; source < sources; source += 1) {
        shares[source] =
          (shares[source] ?? 0) + (observed * (exposures[source] ?? 0) * (known[source] ?? 0)) / expected;
      }
    }
    rates = totals.map((total, source) => (total > 0 ? (shares[source] ?? 0) / total : 0));
  }
  return rates;
}
