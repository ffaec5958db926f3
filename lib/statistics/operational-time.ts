/** A half-open stretch [start, end) of a unit's own time line. */
export type Span = readonly [start: number, end: number];

/** Amount of intensity over [start, end): the plain length, or the integral of a relative intensity (a season). */
export type Integral = (start: number, end: number) => number;

/** Operational times in [0, 1) of the events under watch, the exposure up to the end, and the events left out. */
export type OperationalTimes = {
  readonly u: readonly number[];
  readonly at: readonly number[];
  readonly exposure: number;
  readonly dropped: number;
};

const plainLength: Integral = (start, end) => end - start;

/**
 * Turns event moments into operational time: the share of all exposure up to `asOf` that lay before each event.
 *
 * Without a change of rate the shares of a Poisson process are independent uniforms, whatever gaps the watch had and
 * whatever season `integral` carries.
 *
 * @param inService - spans under watch, rising and without overlap; may be empty
 * @param events - moments, any order; those outside every span or at and after `asOf` are dropped and counted
 * @param asOf - end of the watch; spans are cut there
 * @param integral - intensity between two moments, the plain length unless told
 * @returns u and at (the moments kept) in the order of `events`; no exposure: all events dropped
 * @throws RangeError for spans that overlap, run backwards or are out of order
 *
 * Source: Cox and Lewis (1966), The Statistical Analysis of Series of Events, ch. 3 (from memory).
 */
export function operationalTimes({
  inService,
  events,
  asOf,
  integral = plainLength,
}: {
  inService: readonly Span[];
  events: readonly number[];
  asOf: number;
  integral?: Integral;
}): OperationalTimes {
  checkSpans(inService);
  const before: number[] = [];
  let exposure = 0;
  for (const [start, end] of inService) {
    before.push(exposure);
    if (start < asOf) exposure += integral(start, Math.min(end, asOf));
  }
  const u: number[] = [];
  const at: number[] = [];
  for (const moment of events) {
    const index = moment < asOf ? spanHolding(inService, moment) : -1;
    const start = inService[index]?.[0];
    if (start === undefined || !(exposure > 0)) continue;
    at.push(moment);
    u.push(Math.min(1, ((before[index] ?? 0) + integral(start, moment)) / exposure));
  }
  return { u, at, exposure, dropped: events.length - u.length };
}

/** Exposure of the spans inside [from, until); 0 without any. Throws RangeError as `operationalTimes`. */
export function exposureBetween(
  inService: readonly Span[],
  { from, until, integral = plainLength }: { from: number; until: number; integral?: Integral },
): number {
  checkSpans(inService);
  let sum = 0;
  for (const [start, end] of inService) {
    const first = Math.max(start, from);
    const last = Math.min(end, until);
    if (last > first) sum += integral(first, last);
  }
  return sum;
}

/** Throws RangeError for spans that overlap, run backwards or are out of order. */
export function checkSpans(spans: readonly Span[]): void {
  let last = Number.NEGATIVE_INFINITY;
  for (const [start, end] of spans) {
    if (!(start >= last && end >= start)) throw new RangeError(`spans must rise without overlap: ${start} to ${end}`);
    last = end;
  }
}

function spanHolding(spans: readonly Span[], moment: number): number {
  let low = 0;
  let high = spans.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((spans[middle]?.[0] ?? Infinity) <= moment) low = middle + 1;
    else high = middle;
  }
  const held = spans[low - 1];
  return held !== undefined && moment < held[1] ? low - 1 : -1;
}
