import type { GroundEvent } from "@/lib/analyse/modes/mode-ground";
import { yearFraction } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";

/** A detector's own part of the year and hour of the day, for a season that no stated cause fits. */
export type OwnWindow = {
  /** Relative intensity at one of its events, from the others. */
  readonly atEvent: (row: number) => number;
  /** The same by hour alone, all the year, from the others at least a week away. */
  readonly atHour: (row: number) => number;
  /** Relative intensity at any moment, hour averaged out. */
  readonly ofDay: (moment: number) => number;
};

/** Concentration on the year (standard deviation about five weeks) and on the day (about four hours). Choices. */
const ON_YEAR = 3;
const ON_DAY = 1;
/** The same of a cause that keeps to one hour (standard deviation about an hour). Choice. */
const ON_HOUR = 12;
const APART_MS = 120 * DAY_MS;
const EVEN = 0.3;
const LEAST_EVENTS = 3;

const yearScale = 1 / besselI0(ON_YEAR);
const hourScale = 1 / besselI0(ON_HOUR);
const dayScale = 1 / besselI0(ON_DAY);

/**
 * The own window of a detector: von Mises kernels around its events on year and day, with an even part.
 *
 * An event is judged by those at least 120 days away, so that it takes a second year to make a season. With fewer than
 * three events it is even.
 */
export function ownWindow(events: readonly GroundEvent[], timeZone: string): OwnWindow {
  if (events.length < LEAST_EVENTS) return { atEvent: () => 1, ofDay: () => 1, atHour: () => 1 };
  const angles = events.map(({ beganAt }) => 2 * Math.PI * yearFraction(beganAt, timeZone));
  const hours = events.map(({ hour }) => (2 * Math.PI * (hour + 0.5)) / 24);
  return {
    atEvent: (row) => {
      const at = events[row]?.beganAt ?? 0;
      let sum = 0;
      let count = 0;
      for (const [other, { beganAt }] of events.entries()) {
        if (Math.abs(beganAt - at) < APART_MS) continue;
        const year = kernel((angles[row] ?? 0) - (angles[other] ?? 0), ON_YEAR) * yearScale;
        sum += year * kernel((hours[row] ?? 0) - (hours[other] ?? 0), ON_DAY) * dayScale;
        count += 1;
      }
      return count === 0 ? 1 : EVEN + ((1 - EVEN) * sum) / count;
    },
    atHour: (row) => {
      const at = events[row]?.beganAt ?? 0;
      // One event's worth of an even day, so that a single neighbour is no pattern.
      let sum = 1;
      let count = 1;
      for (const [other, { beganAt }] of events.entries()) {
        if (Math.abs(beganAt - at) < 7 * DAY_MS) continue;
        sum += kernel((hours[row] ?? 0) - (hours[other] ?? 0), ON_HOUR) * hourScale;
        count += 1;
      }
      return sum / count;
    },
    ofDay: (moment) => {
      const angle = 2 * Math.PI * yearFraction(moment, timeZone);
      const sum = angles.reduce((total, one) => total + kernel(angle - one, ON_YEAR) * yearScale, 0);
      return EVEN + ((1 - EVEN) * sum) / angles.length;
    },
  };
}

function kernel(apart: number, concentration: number): number {
  return Math.exp(concentration * Math.cos(apart));
}

// Power series; 30 terms are exact to double precision for the concentrations used.
function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; k <= 30; k += 1) {
    term *= (x / 2 / k) ** 2;
    sum += term;
  }
  return sum;
}
