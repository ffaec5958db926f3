/** An estimate: its mean and the ends of its interval; null where an end has no number (no upper limit). */
export type Estimate = { readonly mean: number; readonly low: number; readonly high: number };

/** Half-open stretch of time [startAt, endAt), both Instants. */
export type Span = { readonly startAt: number; readonly endAt: number };

/**
 * An estimate whose ends are put right by rounding only: low <= mean <= high must already hold to 1e-9.
 *
 * @throws RangeError when a number is missing or the order is wrong
 */
export function estimate(mean: number, { low, high }: { low: number; high: number }): Estimate {
  const slack = 1e-9 * Math.max(1, Math.abs(mean));
  if (!Number.isFinite(mean) || !(low <= mean + slack) || !(mean <= high + slack)) {
    throw new RangeError(`not an estimate: low ${low}, mean ${mean}, high ${high}`);
  }
  return { mean, low: Math.min(low, mean), high: Math.max(high, mean) };
}

/** Spans merged and sorted: overlapping or touching spans (gap <= joinMs) become one; empty ones vanish. */
export function unionOf(spans: readonly Span[], { joinMs = 0 }: { joinMs?: number } = {}): Span[] {
  const sorted = spans.filter((span) => span.endAt > span.startAt).sort((a, b) => a.startAt - b.startAt);
  const merged: { startAt: number; endAt: number }[] = [];
  for (const span of sorted) {
    const last = merged.at(-1);
    if (last && span.startAt - last.endAt <= joinMs) last.endAt = Math.max(last.endAt, span.endAt);
    else merged.push({ startAt: span.startAt, endAt: span.endAt });
  }
  return merged;
}

/** What is left of `spans` without `holes`; both may overlap and be unsorted; sorted and disjoint on return. */
export function without(spans: readonly Span[], holes: readonly Span[]): Span[] {
  const cuts = unionOf(holes);
  const left: Span[] = [];
  let first = 0;
  for (const span of unionOf(spans)) {
    let startAt = span.startAt;
    while (first < cuts.length && (cuts[first]?.endAt ?? Infinity) <= startAt) first += 1;
    for (let index = first; index < cuts.length; index += 1) {
      const cut = cuts[index];
      if (!cut || cut.startAt >= span.endAt) break;
      if (cut.startAt > startAt) left.push({ startAt, endAt: cut.startAt });
      startAt = Math.max(startAt, cut.endAt);
    }
    if (startAt < span.endAt) left.push({ startAt, endAt: span.endAt });
  }
  return left;
}

/** Total length of disjoint spans, in milliseconds. */
export function lengthOf(spans: readonly Span[]): number {
  return spans.reduce((total, span) => total + (span.endAt - span.startAt), 0);
}

/** The parts of disjoint sorted `spans` inside [startAt, endAt). */
export function within(spans: readonly Span[], { startAt, endAt }: Span): Span[] {
  return spans
    .filter((span) => span.endAt > startAt && span.startAt < endAt)
    .map((span) => ({ startAt: Math.max(span.startAt, startAt), endAt: Math.min(span.endAt, endAt) }));
}

/** Whether an instant lies in one of the sorted, disjoint spans. */
export function contains(spans: readonly Span[], at: number): boolean {
  let low = 0;
  let high = spans.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((spans[middle]?.endAt ?? Infinity) <= at) low = middle + 1;
    else high = middle;
  }
  const span = spans[low];
  return span !== undefined && span.startAt <= at;
}
