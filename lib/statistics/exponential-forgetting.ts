import { checkSpans, type Span } from "@/lib/statistics/operational-time";

/**
 * Count and exposure with exponential forgetting: an event or a day that lies `tau` back weighs 1/e.
 *
 * @param inService - spans under watch, rising and without overlap; cut at `asOf`
 * @param events - moments before `asOf`; later ones are left out
 * @param tau - above 0, same unit of time; Infinity forgets nothing
 * @returns discounted count and exposure, at most the plain ones; 0 and 0 when there is nothing
 * @throws RangeError for impossible spans or tau
 */
export function exponentialForgetting({
  inService,
  events,
  asOf,
  tau,
}: {
  inService: readonly Span[];
  events: readonly number[];
  asOf: number;
  tau: number;
}): { count: number; exposure: number } {
  checkSpans(inService);
  if (!(tau > 0)) throw new RangeError(`tau must be above 0: ${tau}`);
  let count = 0;
  for (const moment of events) if (moment < asOf) count += Math.exp((moment - asOf) / tau);
  let exposure = 0;
  for (const [start, end] of inService) {
    const last = Math.min(end, asOf);
    if (!(last > start)) continue;
    exposure +=
      tau === Infinity ? last - start : -tau * Math.exp((last - asOf) / tau) * Math.expm1((start - last) / tau);
  }
  return { count, exposure };
}
