import type { SignalCause } from "@/lib/analyse/drift/signal-causes";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import type { KindModel } from "@/lib/analyse/modes/kind-model";
import { type DetectorGround, FORGET_MS, type GroundEvent, type ModeGround } from "@/lib/analyse/modes/mode-ground";
import { ownWindow } from "@/lib/analyse/modes/own-window";
import { causeWeights } from "@/lib/analyse/modes/signal-weights";
import { sumBefore, WEEK_MS } from "@/lib/analyse/modes/week-grid";
import { YEAR_MS } from "@/lib/kernel/units";

/**
 * One detector as a fit at a moment sees it. Columns are the causes of the kind, in order, and last the own window;
 * rows are its events before the moment, oldest first.
 */
export type ModeUnit = {
  readonly ground: DetectorGround;
  readonly events: readonly GroundEvent[];
  /** How far each event is a strike of its own. */
  readonly novelty: Float64Array;
  /** How much each event counts: less with age and soon after another, 0 outside the time observed. */
  readonly weights: Float64Array;
  /** Relative intensity of each column at each event, rows after one another; the hour of untimed causes apart. */
  readonly fits: Float64Array;
  /** Days each column had to strike, times intensity, forgotten as the events are. */
  readonly exposure: Float64Array;
  /** How much likelier each column is here than in the fleet, from signal and call-outs. */
  readonly favour: Float64Array;
  /** Probability that a slow loss of signal is one that cleaning does not lift. */
  readonly agedShare: number;
};

/** How much an event within a week after another counts: mostly it is the same strike again, at an hour of no meaning. */
const ECHO_WEIGHT = 0.3;

/** The moment of a fit and what is known then apart from the ground. */
export type ModeMoment = {
  readonly asOf: number;
  /** What a detector's drift holds against each cause as of the moment. */
  readonly driftOf?: (detectorId: string) => readonly SignalCause[];
  /** How much likelier events of another kind make a cause. */
  readonly favouredOf?: (detectorId: string, cause: Cause) => number;
};

/** The detectors of a ground as of a moment; nothing at or after it is looked at. */
export function modeUnits(
  ground: ModeGround,
  { model, asOf, driftOf, favouredOf }: ModeMoment & { model: KindModel },
): ModeUnit[] {
  const { kind, causes } = model;
  const past = ground.detectors.map((one) => eventsBefore(one, kind, asOf));
  const favours = causeWeights(
    ground.detectors.map((one) => ({
      facts: one.track?.factsAt(asOf) ?? null,
      callOutsPerYear: callOutsPerYear(one, asOf),
      drift: one.track === null ? null : (driftOf?.(one.history.detector.detectorId) ?? null),
    })),
  );
  return ground.detectors.map((one, index) => {
    const events = past[index] ?? [];
    const columns = causes.length + 1;
    const novelty = Float64Array.from(events, ({ beganAt }, row) =>
      beganAt - (events[row - 1]?.beganAt ?? -Infinity) < WEEK_MS ? ECHO_WEIGHT : 1,
    );
    const own = ownWindow(events, one.history.site.timeZone);
    const fits = new Float64Array(events.length * columns);
    for (const [row, event] of events.entries()) {
      for (let column = 0; column < causes.length; column += 1) {
        fits[row * columns + column] = event.intensities[column] ?? 0;
      }
      if (model.ownHour >= 0) fits[row * columns + model.ownHour] = own.atHour(row);
      fits[row * columns + causes.length] = own.atEvent(row);
    }
    return {
      ground: one,
      events,
      novelty,
      weights: Float64Array.from(events, ({ beganAt, counts }, row) =>
        counts ? Math.exp((beganAt - asOf) / FORGET_MS) * (novelty[row] ?? 0) : 0,
      ),
      fits,
      exposure: exposuresAt(one, { ground, kind, asOf }),
      agedShare: favours[index]?.agedShare ?? 0,
      favour: Float64Array.from([
        ...causes.map(
          (cause) => (favours[index]?.favour(cause) ?? 1) * (favouredOf?.(one.history.detector.detectorId, cause) ?? 1),
        ),
        1,
      ]),
    };
  });
}

function eventsBefore({ kinds }: DetectorGround, kind: EventKind, asOf: number): GroundEvent[] {
  return kinds[kind].events.filter(({ beganAt }) => beganAt < asOf);
}

// The own window can strike whenever the background can.
function exposuresAt(
  { kinds }: DetectorGround,
  { ground, kind, asOf }: { ground: ModeGround; kind: EventKind; asOf: number },
): Float64Array {
  const scale = Math.exp((ground.grid.startAt - asOf) / FORGET_MS);
  const exposures = kinds[kind].exposures.map((sums) => sumBefore(sums, ground.grid, asOf) * scale);
  return Float64Array.from([...exposures, exposures[0] ?? 0]);
}

function callOutsPerYear({ callOuts, history }: DetectorGround, asOf: number): number | null {
  const years = (asOf - (history.exposure.observed[0]?.startAt ?? asOf)) / YEAR_MS;
  if (!(years > 0)) return null;
  return callOuts.filter((at) => at < asOf).length / Math.max(1, years);
}
