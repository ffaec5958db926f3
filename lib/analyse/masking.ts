import { type Span, unionOf } from "@/lib/kernel/interval";
import { HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import type { Work } from "@/lib/records/work";

/** Stretches in which a detector was out of service or worked on. */
export type Masks = {
  /** Disablements and tests: no exposure. Sorted, disjoint. */
  readonly outOfService: readonly Span[];
  /** The same and the minutes of work records: fire and fault records that begin here are the work's own. */
  readonly masked: readonly Span[];
};

/**
 * Windows of one detector that mask its fire and fault records.
 *
 * A disablement without an end lasts until `asOf`; a test without one masks `openTestHours`; a work record masks the
 * minutes before it was done, none when it does not say how long it took. Both ends belong to a window.
 */
export function masksOf({
  events,
  work,
  asOf,
  openTestHours,
}: {
  events: readonly Event[];
  work: readonly Work[];
  asOf: number;
  openTestHours: number;
}): Masks {
  const windows: Span[] = [];
  for (const { condition, beganAt, endedAt } of events) {
    if (condition === "disablement") windows.push(closed(beganAt, endedAt ?? asOf));
    if (condition === "test") {
      windows.push(closed(beganAt, endedAt ?? Math.min(asOf, beganAt + openTestHours * HOUR_MS)));
    }
  }
  const minutes = work.flatMap(({ doneAt, durationMin }) =>
    durationMin === null ? [] : [closed(doneAt - durationMin * MINUTE_MS, doneAt)],
  );
  return { outOfService: unionOf(windows), masked: unionOf([...windows, ...minutes]) };
}

function closed(startAt: number, lastAt: number): Span {
  return { startAt, endAt: lastAt + 1 };
}
