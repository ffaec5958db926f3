import { usualDay } from "@/lib/analyse/hour-profile";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import type { ModeUnit } from "@/lib/analyse/modes/mode-units";

/** Causes whose hour their own shape tells; all others, and the own window, follow the day of the background or their own. */
export const timedCauses: ReadonlySet<Cause> = new Set<Cause>([
  "low sun",
  "cold or steam mornings",
  "insects",
  "seasonal stock",
  "thermal movement",
  "blocked path",
]);

const STATED_EVENTS = 60;

/** The day of events without a cause of their own, as 24 weights of mean 1: even for faults, the usual day for alarms. */
export function statedHours(kind: EventKind): readonly number[] {
  return kind === "alarm" ? usualDay : usualDay.map(() => 1);
}

/**
 * The same as the fleet bears it out: by the hours of events as far as they are the background's, smoothed over three.
 *
 * All events together would not do: where most alarms have a cause of the clock, their day would pass for nobody's.
 */
export function backgroundHours(
  units: readonly ModeUnit[],
  { shares, columns, kind }: { shares: readonly Float64Array[]; columns: number; kind: EventKind },
): readonly number[] {
  const counts = new Float64Array(24);
  let total = 0;
  for (const [index, { events }] of units.entries()) {
    for (const [row, { hour }] of events.entries()) {
      const share = shares[index]?.[row * columns] ?? 0;
      counts[hour] = (counts[hour] ?? 0) + share;
      total += share;
    }
  }
  return statedHours(kind).map((stated, hour) => {
    const around = (counts[(hour + 23) % 24] ?? 0) + (counts[hour] ?? 0) + (counts[(hour + 1) % 24] ?? 0);
    return (24 * (around / 3 + (STATED_EVENTS * stated) / 24)) / (total + STATED_EVENTS);
  });
}
