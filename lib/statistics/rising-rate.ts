import { cauchyCombination } from "@/lib/statistics/cauchy-combination";
import { exposureBetween, type Integral, operationalTimes, type Span } from "@/lib/statistics/operational-time";
import { type CountOverExposure, type RateRatio, rateRatioTest } from "@/lib/statistics/poisson-rate";
import { type LaplaceTest, laplaceTest } from "@/lib/statistics/trend";

/**
 * Is the event rate of one unit rising? `p` is the one to use; `rateRatio` is null when one of the two windows has no
 * exposure; `dropped` events lay outside the time under watch; `times` are the operational
 * times of the others and `at` their moments.
 */
export type RisingRate = {
  readonly n: number;
  readonly times: readonly number[];
  readonly at: readonly number[];
  readonly exposure: number;
  readonly dropped: number;
  readonly laplace: LaplaceTest;
  readonly recent: CountOverExposure;
  readonly baseline: CountOverExposure;
  readonly rateRatio: RateRatio | null;
  readonly p: number;
};

/**
 * One-sided test of a rising event rate: the Cauchy combination of the exact Laplace test on operational time and the
 * mid-p of the exact comparison of the last `recentLength` with the time before it.
 *
 * Null hypothesis: constant rate over the exposure. The window length must be fixed before looking at the events.
 *
 * @param inService - spans under watch, rising and without overlap
 * @param events - moments, any order
 * @param asOf - end of the watch, same unit of time as the spans
 * @param recentLength - length of the recent window in calendar time, above 0
 * @param integral - relative intensity between two moments (a season), the plain length unless told
 * @param level - two-sided coverage of the ratio's limits, .95 unless told
 * @returns no event: p = 1; one window without exposure: Laplace alone
 * @throws RangeError for impossible spans, window or level
 */
export function risingRateTest({
  inService,
  events,
  asOf,
  recentLength,
  integral,
  level = 0.95,
}: {
  inService: readonly Span[];
  events: readonly number[];
  asOf: number;
  recentLength: number;
  integral?: Integral;
  level?: number;
}): RisingRate {
  if (!(recentLength > 0)) throw new RangeError(`recent window must be longer than 0: ${recentLength}`);
  const weighing = integral === undefined ? {} : { integral };
  const { u, at, exposure, dropped } = operationalTimes({ inService, events, asOf, ...weighing });
  const since = asOf - recentLength;
  // A tie must fall on one side: an event on the very first moment of the window belongs to the time before it.
  const count = at.filter((moment) => moment > since).length;
  const recent = { count, exposure: exposureBetween(inService, { from: since, until: asOf, ...weighing }) };
  const baseline = {
    count: u.length - count,
    exposure: exposureBetween(inService, { from: Number.NEGATIVE_INFINITY, until: since, ...weighing }),
  };
  const laplace = laplaceTest(u);
  const comparable = recent.exposure > 0 && baseline.exposure > 0;
  const rateRatio = comparable ? rateRatioTest({ recent, baseline, level }) : null;
  const pValues = rateRatio === null || u.length === 0 ? null : [laplace.pRising, rateRatio.pMid];
  const p = pValues === null ? laplace.pRising : cauchyCombination(pValues);
  return { n: u.length, times: u, at, exposure, dropped, laplace, recent, baseline, rateRatio, p };
}
