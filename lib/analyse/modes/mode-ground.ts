import type { Episode } from "@/lib/analyse/episodes";
import { groupBy } from "@/lib/analyse/fleet-history";
import type { DetectorHistory } from "@/lib/analyse/history";
import { isCallOut } from "@/lib/analyse/hold-visits";
import { calendarShape } from "@/lib/analyse/modes/calendar-shapes";
import { type Cause, causes, type EventKind } from "@/lib/analyse/modes/cause";
import { type Intensity, intensityOf, type Surroundings } from "@/lib/analyse/modes/intensity";
import { alarmKind, faultKind, type KindModel } from "@/lib/analyse/modes/kind-model";
import { type SignalTrack, signalTrack } from "@/lib/analyse/modes/signal-track";
import { sunShape } from "@/lib/analyse/modes/sun-shape";
import { daysByWeek, WEEK_MS, type WeekGrid, weekGrid } from "@/lib/analyse/modes/week-grid";
import { skiesOnce } from "@/lib/analyse/sun-views";
import { contains, type Span } from "@/lib/kernel/interval";
import { hourOfDay } from "@/lib/kernel/time";
import { YEAR_MS } from "@/lib/kernel/units";

/** An episode with what does not depend on the moment of a fit. */
export type GroundEvent = {
  readonly beganAt: number;
  /** Whether it lies in the time observed; else it has a cause but says nothing of a rate. */
  readonly counts: boolean;
  readonly hour: number;
  readonly word: number;
  /** Relative intensity of each cause of the kind at its moment. */
  readonly intensities: Float64Array;
};

/** Events of one kind of one detector, and what its causes had time to do. */
export type KindGround = {
  readonly events: readonly GroundEvent[];
  readonly intensities: readonly Intensity[];
  /** Running sums by week of days observed times intensity, for each cause; forgotten as {@link FORGET_MS} says. */
  readonly exposures: readonly Float64Array[];
};

/** One detector's part of the ground. */
export type DetectorGround = {
  readonly history: DetectorHistory;
  readonly track: SignalTrack | null;
  readonly callOuts: readonly number[];
  readonly kinds: Readonly<Record<EventKind, KindGround>>;
};

/** What fits at any moment of a fleet's past share; made once. */
export type ModeGround = {
  readonly grid: WeekGrid;
  readonly detectors: readonly DetectorGround[];
};

/** Time in which what a detector did counts e times less. Choice: long against a season, short against a life. */
export const FORGET_MS = 2 * YEAR_MS;

/**
 * The ground of a fleet: for every detector and cause how long and how strongly the cause could have struck by each
 * week, and how well each event fits each cause. No value at a moment uses anything later.
 *
 * Cost: O(detectors x weeks x causes).
 */
export function modeGround(histories: readonly DetectorHistory[]): ModeGround {
  const endAt = Math.max(...histories.map(({ asOf }) => asOf), 0);
  const startAt = Math.min(...histories.map(({ exposure }) => exposure.observed[0]?.startAt ?? endAt), endAt);
  const grid = weekGrid({ startAt, endAt });
  const skies = skiesOnce();
  const detectors: DetectorGround[] = [];
  for (const members of groupBy(histories, ({ site }) => site.siteId).values()) {
    const [first] = members;
    if (!first) continue;
    const shapes = {
      "cold or steam mornings": calendarShape("cold or steam mornings", first.site),
      insects: calendarShape("insects", first.site),
      "seasonal stock": calendarShape("seasonal stock", first.site),
      "thermal movement": calendarShape("thermal movement", first.site),
      "blocked path": calendarShape("blocked path", first.site),
    };
    for (const history of members) {
      const suns = [sunShape(0, { ...history, skies }), sunShape(1, { ...history, skies })] as const;
      detectors.push(detectorGround({ history, track: signalTrack(history, grid), suns, shapes }, grid));
    }
  }
  return { grid, detectors };
}

function detectorGround(surroundings: Surroundings, grid: WeekGrid): DetectorGround {
  const { history, track } = surroundings;
  const around = { history, grid, intensityOf: intensitiesOnce(surroundings, grid) };
  const realigns = history.work.filter((work) => work.task === "realign" && isCallOut(work, history));
  return {
    history,
    track,
    callOuts: realigns.map(({ doneAt }) => doneAt),
    kinds: {
      fault: kindGround(faultKind, { ...around, episodes: history.faults, spans: history.exposure.faultRisk }),
      alarm: kindGround(alarmKind, { ...around, episodes: history.ownAlarms, spans: history.exposure.observed }),
    },
  };
}

/** All causes, and low sun and the background once more. */
const MOST_INTENSITIES = causes.length + 2;

type Weekly = { readonly intensity: Intensity; readonly byWeek: Float32Array };
type IntensityOf = (cause: Cause, end: 0 | 1) => Weekly;

// Faults and alarms share most causes, and what a week does to a cause is the same for both.
function intensitiesOnce(surroundings: Surroundings, grid: WeekGrid): IntensityOf {
  const known = new Map<string, Weekly>();
  // One stretch of memory for all of a detector: many small ones cost more than what is reckoned in them.
  const pool = new Float32Array(MOST_INTENSITIES * grid.weeks);
  return (cause, end) => {
    const key = `${cause} ${end}`;
    const found = known.get(key);
    if (found) return found;
    const intensity = intensityOf({ cause, end }, surroundings);
    const byWeek = pool.subarray(known.size * grid.weeks, (known.size + 1) * grid.weeks);
    for (let week = 0; week < grid.weeks; week += 1) {
      byWeek[week] = intensity.ofDay(grid.startAt + (week + 0.5) * WEEK_MS);
    }
    const made = { intensity, byWeek };
    known.set(key, made);
    return made;
  };
}

type Around = {
  readonly history: DetectorHistory;
  readonly grid: WeekGrid;
  readonly intensityOf: IntensityOf;
  readonly episodes: readonly Episode[];
  readonly spans: readonly Span[];
};

function kindGround(model: KindModel, { history, grid, intensityOf: one, episodes, spans }: Around): KindGround {
  const weekly = model.causes.map((cause, column) =>
    column === model.ownHour ? one("unknown", 0) : one(cause, model.ends[column] ?? 0),
  );
  const intensities = weekly.map(({ intensity }) => intensity);
  const days = daysByWeek(spans, grid);
  const growth = Math.exp(WEEK_MS / FORGET_MS);
  const width = grid.weeks + 1;
  const pool = new Float64Array(weekly.length * width);
  const exposures = weekly.map(({ byWeek }, column) => {
    const sums = pool.subarray(column * width, (column + 1) * width);
    let kept = Math.sqrt(growth);
    for (let week = 0; week < grid.weeks; week += 1) {
      sums[week + 1] = (sums[week] ?? 0) + (days[week] ?? 0) * (byWeek[week] ?? 0) * kept;
      kept *= growth;
    }
    return sums;
  });
  const events = episodes.map((episode) => ({
    beganAt: episode.beganAt,
    counts: contains(history.exposure.observed, episode.beganAt),
    hour: Math.floor(hourOfDay(episode.beganAt, history.site.timeZone)),
    word: model.wordOf(episode),
    intensities: Float64Array.from(intensities, ({ at }) => at(episode.beganAt)),
  }));
  return { events, intensities, exposures };
}
