import type { DetectorHistory } from "@/lib/analyse/history";
import { leftAfterWork } from "@/lib/analyse/modes/after-work";
import { calendarShape } from "@/lib/analyse/modes/calendar-shapes";
import type { Cause } from "@/lib/analyse/modes/cause";
import type { SignalTrack } from "@/lib/analyse/modes/signal-track";
import { type LowSky, sunShape } from "@/lib/analyse/modes/sun-shape";
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
const MOST_USE = 1.3;
const FRESH_USE = 0.2;
const USE_PER_YEAR = 0.25;

/** The intensity of a cause in a detector; the background and the equipment's hour are even. */
export function intensityOf(
  cause: Cause,
  { history, track, sky }: { history: DetectorHistory; track: SignalTrack | null; sky: LowSky },
): Intensity {
  const { at, ofDay } = timeShape(cause, { history, sky });
  const left = leftAfterWork(cause, history.work);
  const state = stateOf(cause, { history, track });
  return {
    at: (moment) => at(moment) * left(moment) * state.at(moment),
    ofDay: (moment) => ofDay(moment) * left(moment) * state.at(moment),
    ahead: (asOf) => {
      const known = leftAfterWork(
        cause,
        history.work.filter(({ doneAt }) => doneAt < asOf),
      );
      const carried = state.ahead(asOf);
      return (moment) => ofDay(moment) * known(moment) * carried(moment);
    },
  };
}

const even = () => 1;

function timeShape(cause: Cause, { history, sky }: { history: DetectorHistory; sky: LowSky }) {
  const { detector, site } = history;
  switch (cause) {
    case "low sun":
      return sunShape({ detector, site, sky });
    case "cold or steam mornings":
    case "insects":
    case "seasonal stock":
    case "thermal movement":
    case "blocked path":
      return calendarShape(cause, site);
    default:
      return { at: even, ofDay: even };
  }
}

type State = {
  readonly at: (moment: number) => number;
  readonly ahead: (asOf: number) => (moment: number) => number;
};

/** How fast the intensity grows with the share of the margin used: its logarithm per whole margin. */
const steepness: Partial<Readonly<Record<Cause, number>>> = {
  soiling: 3,
  "compensation at its limit": 6,
  "thermal movement": 1.5,
  "mount that will not hold": 1.5,
  "knocked out of line": 1.5,
  ageing: 3,
};

function stateOf(cause: Cause, { history, track }: { history: DetectorHistory; track: SignalTrack | null }): State {
  if (cause === "equipment") {
    const grown = (moment: number) => Math.exp((moment - history.asOf) / GROWTH_MS);
    return { at: grown, ahead: () => grown };
  }
  const steep = steepness[cause];
  if (steep === undefined) return { at: even, ahead: () => even };
  const byUse = (used: number) => Math.exp(steep * (used - 0.5));
  const read = (moment: number) => {
    if (track === null) return null;
    const compensation = cause === "compensation at its limit" ? track.compensationAt(moment) : null;
    return compensation === null ? track.usedAt(moment) : compensation / 100;
  };
  // Without readings the dirt that comes back after a clean is all that is known of the margin.
  const unread = (work: readonly Work[]) => (moment: number) =>
    cause === "soiling" ? byUse(assumedUse(moment, { work, installedAt: history.installedAt })) : 1;
  const unreadPast = unread(history.work);
  return {
    at: (moment) => {
      const used = read(moment);
      return used === null ? unreadPast(moment) : byUse(used);
    },
    ahead: (asOf) => {
      const used = read(asOf);
      if (used === null || track === null) return unread(history.work.filter(({ doneAt }) => doneAt < asOf));
      const grows = growing.includes(cause) ? track.riseShareAt(asOf) : 0;
      return (moment) => byUse(Math.min(MOST_USE, used + (grows * (moment - asOf)) / YEAR_MS));
    },
  };
}

const growing: readonly Cause[] = ["soiling", "compensation at its limit", "ageing"];

function assumedUse(moment: number, { work, installedAt }: { work: readonly Work[]; installedAt: number }): number {
  let from = installedAt;
  for (const { task, doneAt } of work) {
    if (doneAt >= moment) break;
    if (task === "clean" || task === "replace") from = doneAt;
  }
  return Math.min(1, FRESH_USE + (USE_PER_YEAR * Math.max(0, moment - from)) / YEAR_MS);
}
