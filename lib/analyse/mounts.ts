import { additiveRates, expectedAt } from "@/lib/statistics/additive-rates";
import { type FrailtyMixture, fitFrailtyMixture, type UnitEvents } from "@/lib/statistics/frailty-mixture";

/** Failed alignments of one detector against the others', before its height is taken into account. */
export type UnitAtHeight = UnitEvents & {
  readonly failures: number;
  readonly height: number;
  /** Own faults and own false alarms, each of which may have called someone. */
  readonly calls: readonly number[];
};

const LEAST_UNITS = 40;
const LEAST_FAILURES = 20;
const LOWEST_M = 2;
const APART_RATIO = 4;

/**
 * Expectations with own faults and the height taken into account, and how mounts differ.
 *
 * Realignments come with time or with the detector's own faults and alarms; which, the whole fleet tells (rates that add
 * up), detectors apart left out.
 *
 * The hazard goes with a power of the height, fitted by Poisson likelihood on the detectors that did not fail four times
 * as often as expected, and drawn towards none by its own error. With fewer than 40 detectors or 20 failures height is left
 * out and `mounts` is null.
 */
export function mountsByHeight(units: readonly UnitAtHeight[]): {
  readonly units: readonly (UnitAtHeight & { readonly heightFactor: number })[];
  readonly mounts: FrailtyMixture | null;
} {
  const failed = units.reduce((sum, { observed }) => sum + observed, 0);
  const called = byCalls(units);
  if (units.length < LEAST_UNITS || failed < LEAST_FAILURES) {
    return { units: called.map((unit) => ({ ...unit, heightFactor: 1 })), mounts: null };
  }
  const { power, middle } = heightPower(called);
  const adjusted = called.map((unit) => {
    const heightFactor = Math.exp(power * (logHeight(unit) - middle));
    return { ...unit, expected: unit.expected * heightFactor, heightFactor };
  });
  return { units: adjusted, mounts: fitFrailtyMixture(adjusted) };
}

// Alignments give way with time; a detector with many faults is also realigned in many attempts to stop them.
function byCalls(units: readonly UnitAtHeight[]): UnitAtHeight[] {
  if (units.every(({ calls }) => calls.every((count) => count === 0))) return [...units];
  const exposures = ({ expected, calls }: UnitAtHeight) => [expected, ...calls];
  const rates = additiveRates(units.map((unit) => ({ observed: unit.observed, exposures: exposures(unit) })));
  return units.map((unit) => ({ ...unit, expected: expectedAt(exposures(unit), rates) }));
}

function logHeight({ height }: UnitAtHeight): number {
  return Math.log(Math.max(LOWEST_M, height));
}

function heightPower(all: readonly UnitAtHeight[]): { power: number; middle: number } {
  const units = all.filter(({ observed, expected }) => observed < 2 || observed < APART_RATIO * expected);
  const expected = units.reduce((sum, unit) => sum + unit.expected, 0);
  const middle = expected > 0 ? units.reduce((sum, unit) => sum + unit.expected * logHeight(unit), 0) / expected : 0;
  let power = 0;
  let information = 0;
  for (let round = 0; round < 20; round++) {
    const fit = scoreAt(units, { power, middle });
    information = fit.information;
    if (!(information > 1e-9)) return { power: 0, middle };
    const step = Math.max(-1, Math.min(1, fit.score / information));
    power = Math.max(-3, Math.min(3, power + step));
    if (Math.abs(step) < 1e-6) break;
  }
  const z2 = power * power * information;
  return { power: z2 > 1 ? power * (1 - 1 / z2) : 0, middle };
}

// Score and information of the power with the common level profiled out.
function scoreAt(units: readonly UnitAtHeight[], { power, middle }: { power: number; middle: number }) {
  let events = 0;
  let moved = 0;
  let weight = 0;
  let first = 0;
  let second = 0;
  for (const unit of units) {
    const x = logHeight(unit) - middle;
    const w = unit.expected * Math.exp(power * x);
    events += unit.observed;
    moved += unit.observed * x;
    weight += w;
    first += w * x;
    second += w * x * x;
  }
  if (!(weight > 0)) return { score: 0, information: 0 };
  const mean = first / weight;
  return { score: moved - events * mean, information: events * (second / weight - mean * mean) };
}
