import type { Episode } from "@/lib/analyse/episodes";
import type { DetectorHistory } from "@/lib/analyse/history";
import { type Cause, causes, type EventKind } from "@/lib/analyse/modes/cause";
import type { CauseShare } from "@/lib/analyse/modes/mode-model";
import { contains, lengthOf, type Span, without } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { type PastVisit, pastVisits } from "@/lib/rank/visit-effects/past-visits";

/** How often a cause strikes in a fleet (events a day at risk), and how unequal detectors are in it (gamma shape). */
export type CauseRate = { readonly perDay: number; readonly shape: number };

const SMALLEST_SHAPE = 0.1;
const LARGEST_SHAPE = 10;
const LEAST_SHARE = 0.02;

/** Probability of each cause for each of a detector's episodes of a kind, oldest first; see `ModeModel.causesOf`. */
export type CausesOf = (detectorId: string, kind: EventKind) => readonly (readonly CauseShare[])[];

/** An episode with the probability of each cause behind it, in the order of `causes`; below a fiftieth counts as none. */
export type CausedEvent = { readonly at: number; readonly shares: Float64Array };

/** A detector's events of one kind with their causes, and the time in which they could happen. */
export type CauseRecord = {
  readonly history: DetectorHistory;
  /** The first episode of each cluster that began in the exposure, oldest first. */
  readonly events: readonly CausedEvent[];
  /** The exposure without the days after each episode in which another would only go on with its cluster. */
  readonly atRisk: readonly Span[];
  readonly visits: readonly PastVisit[];
  /** Places in `causes` of those behind any event. */
  readonly plausible: readonly number[];
  /** Days within which an event goes on with the cluster of the one before. */
  readonly joinDays: number;
};

/**
 * The record of one detector and kind. Without `causesOf`, or where its answer does not fit the episodes, each episode
 * has the cause its panel word or verdict names: a blocked path, compensation at its limit, equipment, else unknown.
 */
export function causeRecord(
  history: DetectorHistory,
  { kind, joinDays, causesOf }: { kind: EventKind; joinDays: number; causesOf?: CausesOf | undefined },
): CauseRecord {
  const all = kind === "fault" ? history.faults : history.ownAlarms;
  const exposure = kind === "fault" ? history.exposure.faultRisk : history.exposure.observed;
  const given = causesOf?.(history.detector.detectorId, kind) ?? [];
  const episodes = all.map((episode, index) => ({
    at: episode.beganAt,
    shares: sharesByPlace(
      (given.length === all.length ? given[index] : undefined) ?? [{ cause: recordedCause(episode, kind), value: 1 }],
    ),
  }));
  const joinMs = joinDays * DAY_MS;
  const joining = episodes.map(({ at }) => ({ startAt: at + 1, endAt: at + joinMs }));
  const events = firstOfClusters(episodes, joinMs).filter(({ at }) => contains(exposure, at));
  for (const { shares } of events) dropDoubtful(shares);
  const plausible = plausibleIn(events);
  return { history, events, atRisk: without(exposure, joining), visits: pastVisits(history), plausible, joinDays };
}

/** The rate of each cause over the whole record of a fleet, and how unequal the detectors are in it, by moments. */
export function causeRates(records: readonly CauseRecord[]): (CauseRate | null)[] {
  const days = records.map(({ atRisk }) => lengthOf(atRisk) / DAY_MS);
  const total = days.reduce((sum, one) => sum + one, 0);
  return causes.map((_, place) => {
    const counts = records.map(({ events }) => sharesOf(events, place));
    const perDay = counts.reduce((sum, one) => sum + one, 0) / total;
    if (!(perDay > 0 && perDay < Infinity)) return null;
    let excess = 0;
    let squares = 0;
    for (const [index, count] of counts.entries()) {
      const mean = perDay * (days[index] ?? 0);
      excess += (count - mean) ** 2 - count;
      squares += mean ** 2;
    }
    const shape = squares / Math.max(excess, squares / LARGEST_SHAPE);
    return { perDay, shape: Math.max(SMALLEST_SHAPE, shape) };
  });
}

/** How surely a fleet's events of each cause are of it: the mean of its probability over them; 1 for a cause without. */
export function causeCertainties(records: readonly CauseRecord[]): number[] {
  return causes.map((_, place) => {
    let sum = 0;
    let squares = 0;
    for (const { shares } of records.flatMap(({ events }) => events)) {
      sum += shares[place] ?? 0;
      squares += (shares[place] ?? 0) ** 2;
    }
    return sum > 0 ? squares / sum : 1;
  });
}

/** Events of one cause among some: the sum of their probabilities of it. */
export function sharesOf(events: readonly CausedEvent[], place: number): number {
  return events.reduce((sum, { shares }) => sum + (shares[place] ?? 0), 0);
}

/** The place of a cause in `causes`. */
export function placeOf(cause: Cause): number {
  return causes.indexOf(cause);
}

function sharesByPlace(given: readonly CauseShare[]): Float64Array {
  const shares = new Float64Array(causes.length);
  for (const { cause, value } of given) shares[placeOf(cause)] = value;
  return shares;
}

function plausibleIn(events: readonly CausedEvent[]): number[] {
  const places = causes.map((_, place) => place);
  return places.filter((place) => sharesOf(events, place) > 0);
}

function dropDoubtful(shares: Float64Array): void {
  let kept = 0;
  for (const share of shares) kept += share < LEAST_SHARE ? 0 : share;
  for (let place = 0; place < shares.length; place += 1) {
    const share = shares[place] ?? 0;
    shares[place] = kept > 0 && share >= LEAST_SHARE ? share / kept : 0;
  }
}

function firstOfClusters(episodes: readonly CausedEvent[], joinMs: number): CausedEvent[] {
  let last = -Infinity;
  return episodes.filter(({ at }) => {
    const first = at - last > joinMs;
    last = at;
    return first;
  });
}

function recordedCause({ cause, verdict }: Episode, kind: EventKind): CauseShare["cause"] {
  if (kind === "alarm") return verdict === "equipment" ? "equipment" : "unknown";
  if (cause === "path_blocked") return "blocked path";
  return cause === "compensation_limit" ? "compensation at its limit" : "unknown";
}
