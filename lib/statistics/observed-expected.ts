import { poissonCdf, poissonPmf, poissonUpper } from "@/lib/statistics/distributions";
import { poissonMeanInterval } from "@/lib/statistics/poisson-rate";
import { type Spell, type StepFunction, stepAt } from "@/lib/statistics/survival";

/**
 * Events against their expectation. Null where nothing was expected: then no ratio, no upper limit and p = 1.
 * `pGreater` is P(Poisson(expected) >= observed), `pMid` takes half of the observed term, `pLess` is the other side.
 */
export type ObservedExpected = {
  readonly observed: number;
  readonly expected: number;
  readonly ratio: number | null;
  readonly low: number;
  readonly high: number | null;
  readonly pGreater: number;
  readonly pMid: number;
  readonly pLess: number;
};

/**
 * One-sample log-rank test: events in some spells against what a reference hazard leads one to expect in them.
 *
 * Null hypothesis: the spells follow the reference, taken as known; then the events are Poisson with mean `expected`.
 * The reference is flat after its last step, so much longer spells are expected too little.
 *
 * @param gaps - spells, the open one among them; late entry counts from its start
 * @param reference - cumulative hazard, for instance `nelsonAalen` of all the others
 * @param level - two-sided coverage of the ratio's exact limits, .95 unless told
 * @throws RangeError for an impossible level
 * Source: Breslow (1975), Int. Statist. Rev. 43, 45-58; Berry (1983), Biometrics 39, 173-184 (from memory).
 */
export function oneSampleLogRank({
  gaps,
  reference,
  level = 0.95,
}: {
  gaps: readonly Spell[];
  reference: StepFunction;
  level?: number;
}): ObservedExpected {
  let observed = 0;
  let expected = 0;
  for (const { start = 0, stop, event } of gaps) {
    if (event) observed++;
    expected += stepAt(reference, stop) - (start > 0 ? stepAt(reference, start) : 0);
  }
  return compareToExpected({ observed, expected, level });
}

/**
 * Exact Poisson comparison of a count with its expectation, with Garwood limits of the ratio.
 *
 * @param observed - whole, at least 0
 * @param expected - at least 0; 0 is not testable and gives ratio and high null, p = 1
 * @throws RangeError for an impossible count, expectation or level
 */
export function compareToExpected({
  observed,
  expected,
  level = 0.95,
}: {
  observed: number;
  expected: number;
  level?: number;
}): ObservedExpected {
  const { low, high } = poissonMeanInterval(observed, { level });
  if (expected === 0) return { observed, expected, ratio: null, low: 0, high: null, pGreater: 1, pMid: 1, pLess: 1 };
  const pGreater = poissonUpper(observed, expected);
  return {
    observed,
    expected,
    ratio: observed / expected,
    low: low / expected,
    high: high / expected,
    pGreater,
    pMid: pGreater - 0.5 * poissonPmf(observed, expected),
    pLess: poissonCdf(observed, expected),
  };
}
