import type { Episode } from "@/lib/analyse/episodes";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import type { CauseShare } from "@/lib/analyse/modes/mode-model";
import { contains, lengthOf, type Span, without } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

/** How often a cause strikes in a fleet (events a day at risk), and how unequal detectors are in it (gamma shape). */
export type CauseRate = { readonly perDay: number; readonly shape: number };

const SMALLEST_SHAPE = 0.1;
const LARGEST_SHAPE = 10;

/** Probability of each cause for each of a detector's episodes of a kind, oldest first; see `ModeModel.causesOf`. */
export type CausesOf = (detectorId: string, kind: EventKind) => readonly (readonly CauseShare[])[];

/** An episode at a moment with the probability of each cause behind it. */
export type CausedEvent = { readonly at: number; readonly causes: readonly CauseShare[] };

/** A detector's events of one kind with their causes, and the time in which they could happen. */
export type CauseRecord = {
  readonly history: DetectorHistory;
  /** The first episode of each cluster that began in the exposure, oldest first. */
  readonly events: readonly CausedEvent[];
  /** The exposure without the days after each episode in which another would only go on with its cluster. */
  readonly atRisk: readonly Span[];
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
    causes: (given.length === all.length ? given[index] : undefined) ?? [
      { cause: recordedCause(episode, kind), value: 1 },
    ],
  }));
  const joinMs = joinDays * DAY_MS;
  const joining = episodes.map(({ at }) => ({ startAt: at + 1, endAt: at + joinMs }));
  return {
    history,
    events: firstOfClusters(episodes, joinMs).filter(({ at }) => contains(exposure, at)),
    atRisk: without(exposure, joining),
  };
}

/** The rate of each cause over the whole record of a fleet, and how unequal the detectors are in it, by moments. */
export function causeRates(records: readonly CauseRecord[]): Map<Cause, CauseRate> {
  const days = records.map(({ atRisk }) => lengthOf(atRisk) / DAY_MS);
  const total = days.reduce((sum, one) => sum + one, 0);
  const rates = new Map<Cause, CauseRate>();
  for (const [cause, counts] of countsByCause(records)) {
    const perDay = counts.reduce((sum, one) => sum + one, 0) / total;
    if (!(perDay > 0 && perDay < Infinity)) continue;
    let excess = 0;
    let squares = 0;
    for (const [index, count] of counts.entries()) {
      const mean = perDay * (days[index] ?? 0);
      excess += (count - mean) ** 2 - count;
      squares += mean ** 2;
    }
    const shape = squares / Math.max(excess, squares / LARGEST_SHAPE);
    rates.set(cause, { perDay, shape: Math.max(SMALLEST_SHAPE, shape) });
  }
  return rates;
}

function countsByCause(records: readonly CauseRecord[]): Map<Cause, Float64Array> {
  const counts = new Map<Cause, Float64Array>();
  for (const [index, { events }] of records.entries()) {
    for (const { cause, value } of events.flatMap(({ causes }) => causes)) {
      const column = counts.get(cause) ?? new Float64Array(records.length);
      column[index] = (column[index] ?? 0) + value;
      counts.set(cause, column);
    }
  }
  return counts;
}

/** Events of one cause among some: the sum of their probabilities of it. */
export function sharesOf(events: readonly CausedEvent[], cause: Cause): number {
  return events.reduce((sum, { causes }) => sum + (causes.find((one) => one.cause === cause)?.value ?? 0), 0);
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
