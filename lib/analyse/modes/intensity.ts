import type { DetectorHistory } from "@/lib/analyse/history";
import { leftAfterWork } from "@/lib/analyse/modes/after-work";
import { type TimedCause, type TimeShape, thermalHour } from "@/lib/analyse/modes/calendar-shapes";
import type { Cause } from "@/lib/analyse/modes/cause";
import type { MarginUse, SignalTrack } from "@/lib/analyse/modes/signal-track";
import { hourOfDay } from "@/lib/kernel/time";
import { YEAR_MS } from "@/lib/kernel/units";
import type { Work } from "@/lib/records/work";

/** Relative intensity of one cause in one detector over time, apart from the detector's own rate. */
export type Intensity = {
  /** At a moment of the past: hour and signal of that moment. */
  readonly at: (moment: number) => number;
  /** The same with the hour averaged out. */
  readonly ofDay: (moment: number) => number;
  /** After `asOf`, hour averaged out, from what was known then: work before it, signal carried on. */
  readonly ahead: (asOf: number) => (moment: number) => number;
};

/** Time in which a defect of the detector itself becomes e times as frequent. */
export const GROWTH_MS = 1.5 * YEAR_MS;
const USUAL_DEPARTURE_K = 8;
const LEAST_THERMAL = 0.4;
const MOST_THERMAL = 4;
const MOST_USE = 1.3;
const FRESH_USE = 0.2;
const USE_PER_YEAR = 0.25;

/** What the intensities of one detector are made from; shapes of calendar and sun are made once. */
export type Surroundings = {
  readonly history: DetectorHistory;
  readonly track: SignalTrack | null;
  /** Low sun on either end of the beam; null where it never shines on a receiver. */
  readonly suns: readonly [TimeShape | null, TimeShape | null];
  readonly shapes: Readonly<Record<TimedCause, TimeShape>>;
};

/** The intensity of a cause in a detector; the background and the equipment are even over the hours. */
export function intensityOf({ cause, end }: { cause: Cause; end: 0 | 1 }, around: Surroundings): Intensity {
  const { history, track } = around;
  const shape = cause === "low sun" ? sunOn(around.suns[end]) : timeShape(cause, around);
  const left = leftAfterWork(cause, history.work);
  const state = stateOf(cause, { history, track });
  return {
    at: (moment) => shape.at(moment) * left(moment) * state.at(moment),
    ofDay: (moment) => shape.ofDay(moment) * left(moment) * state.ofWeek(moment),
    ahead: (asOf) => {
      const work = history.work.filter(({ doneAt }) => doneAt < asOf);
      const known = leftAfterWork(cause, work);
      const carried = state.ahead(asOf);
      const coming = shape.ahead(asOf);
      return (moment) => coming(moment) * known(moment) * carried(moment);
    },
  };
}

const even = () => 1;

function sunOn(sun: TimeShape | null): Intensity {
  return sun === null ? { at: never, ofDay: never, ahead: () => never } : { ...sun, ahead: () => sun.ofDay };
}

const never = () => 0;

function timeShape(cause: Cause, { history, track, shapes }: Surroundings): Intensity {
  switch (cause) {
    case "thermal movement":
      return thermalShape(shapes[cause], { track, timeZone: history.site.timeZone });
    case "cold or steam mornings":
    case "insects":
    case "seasonal stock":
    case "blocked path":
      return { ...shapes[cause], ahead: () => shapes[cause].ofDay };
    default:
      return { at: even, ofDay: even, ahead: () => even };
  }
}

// By the temperature itself where it was sent, else by calendar and clock.
function thermalShape(
  calendar: TimeShape,
  { track, timeZone }: { track: SignalTrack | null; timeZone: string },
): Intensity {
  const strength = (warmer: number) => Math.min(MOST_THERMAL, LEAST_THERMAL + (warmer / USUAL_DEPARTURE_K) ** 2);
  const ofDay = (moment: number) => {
    const warmer = track?.warmerAt(moment) ?? null;
    return warmer === null ? calendar.ofDay(moment) : strength(warmer);
  };
  return {
    ofDay,
    at: (moment) => {
      const warmer = track?.warmerAt(moment) ?? null;
      if (warmer === null) return calendar.at(moment);
      return strength(warmer) * thermalHour(Math.floor(hourOfDay(moment, timeZone)), warmer > 0);
    },
    ahead: (asOf) => {
      const expected = track?.warmerAhead(asOf) ?? (() => null);
      return (moment) => {
        const warmer = expected(moment);
        return warmer === null ? calendar.ofDay(moment) : strength(warmer);
      };
    },
  };
}

type State = {
  readonly at: (moment: number) => number;
  readonly ofWeek: (moment: number) => number;
  readonly ahead: (asOf: number) => (moment: number) => number;
};

/** How fast the intensity grows with the share of the margin used: its logarithm per whole margin. */
const steepness: Partial<Readonly<Record<Cause, number>>> = {
  soiling: 5,
  "compensation at its limit": 6,
  "thermal movement": 5,
  "mount that will not hold": 5,
  "knocked out of line": 5,
  ageing: 5,
};

function stateOf(cause: Cause, { history, track }: { history: DetectorHistory; track: SignalTrack | null }): State {
  if (cause === "equipment") {
    const grown = (moment: number) => Math.exp((moment - history.asOf) / GROWTH_MS);
    return { at: grown, ofWeek: grown, ahead: () => grown };
  }
  const steep = steepness[cause];
  if (steep === undefined) return { at: even, ofWeek: even, ahead: () => even };
  const byUse = (used: number) => Math.exp(steep * (used - 0.5));
  const pick = (use: MarginUse | undefined) => {
    if (use === undefined) return null;
    if (cause === "compensation at its limit") return use.compensation ?? use.level;
    return dipping.includes(cause) ? (use.dip ?? use.level) : use.level;
  };
  // Without readings the dirt that comes back after a clean is all that is known of the margin.
  const unread = (work: readonly Work[]) => (moment: number) =>
    cause === "soiling" ? byUse(assumedUse(moment, { work, installedAt: history.installedAt })) : 1;
  const unreadPast = unread(history.work);
  const byRead = (use: MarginUse | undefined, moment: number) => {
    const used = pick(use);
    return used === null ? unreadPast(moment) : byUse(used);
  };
  return {
    at: (moment) => byRead(track?.marginBefore(moment), moment),
    ofWeek: (moment) => byRead(track?.marginAt(moment), moment),
    ahead: (asOf) => {
      const used = pick(track?.marginAt(asOf));
      if (used === null || track === null) return unread(history.work.filter(({ doneAt }) => doneAt < asOf));
      const grows = growing.includes(cause) ? track.riseShareAt(asOf) : 0;
      return (moment) => byUse(Math.min(MOST_USE, used + (grows * (moment - asOf)) / YEAR_MS));
    },
  };
}

/** Causes that show in dips first; the others in the usual level. */
const dipping: readonly Cause[] = ["thermal movement", "mount that will not hold", "knocked out of line"];
const growing: readonly Cause[] = ["soiling", "compensation at its limit", "ageing"];

function assumedUse(moment: number, { work, installedAt }: { work: readonly Work[]; installedAt: number }): number {
  let from = installedAt;
  for (const { task, doneAt } of work) {
    if (doneAt >= moment) break;
    if (task === "clean" || task === "replace") from = doneAt;
  }
  return Math.min(1, FRESH_USE + (USE_PER_YEAR * Math.max(0, moment - from)) / YEAR_MS);
}
