import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import type { CauseShare } from "@/lib/analyse/modes/mode-model";
import { type PreventiveTask, priorEffect } from "@/lib/rank/effects";
import { type CausedEvent, type CauseRecord, sharesOf } from "@/lib/rank/visit-effects/cause-record";
import { type ControlRatio, controlRatios, type JudgedVisit } from "@/lib/rank/visit-effects/control-visits";
import { aftermathMs, pastVisits, windowAfter } from "@/lib/rank/visit-effects/past-visits";
import { fitWithoutVisit, isKnownAt, type WithoutVisit } from "@/lib/rank/visit-effects/without-visit";
import type { Settings } from "@/lib/settings/settings";

/** What past visits for one task say of events of one kind and cause. */
export type Evidence = {
  readonly task: PreventiveTask;
  readonly kind: EventKind;
  readonly cause: Cause;
  /** Visits after which at least a twentieth of an event was expected. */
  readonly visits: number;
  readonly observed: number;
  readonly expected: number;
  /** Variance of `observed` over its mean, doubt about `expected` included; at least 1. */
  readonly dispersion: number;
};

const LEAST_EXPECTED = 0.05;
const ROUNDS = 8;
const LEAST_LEFT = 0.05;
// However many the records, what moved people to visit is known no better than to this share of what they expected.
const UNSEEN = 0.15;

/**
 * Evidence of the past visits of a fleet by task and cause, for events of one kind; empty where too few events are on
 * record. A task "touches" a cause where it is stated to prevent more than a task that misses it.
 *
 * Left out: visits with two preventive tasks, which records cannot part, and visits within half a year after another
 * that touched the same cause, as the record before them is already that of a visited detector.
 */
export function visitEvidence(
  records: readonly CauseRecord[],
  { kind, settings, horizonDays }: { kind: EventKind; settings: Settings; horizonDays: number },
): Evidence[] {
  const touches: Touches = (task, cause) => priorEffect(task, { cause, settings }) > settings.effectMisses;
  const model = fitWithoutVisit(records, { horizonDays, touches });
  if (model === null) return [];
  const judged = records.flatMap((record) => judgedVisits(record, { model, touches, horizonDays }));
  const first = partedTallies(judged, { settings, controls: () => noControls });
  const missed = judged.flatMap((visit) => {
    const remains = first.get(visit.task)?.remains;
    if (touches(visit.task, visit.cause) || remains === undefined) return [];
    return [{ ...visit, seen: visit.seen.map((event) => ({ ...event, causes: reweighed(event.causes, remains) })) }];
  });
  const controls = controlRatios(missed, settings.effectMisses);
  return [...partedTallies(judged, { settings, controls })].flatMap(([task, { tallies, remains }]) =>
    tallies.map((tally) => ({
      task,
      kind,
      cause: tally.cause,
      visits: tally.visits,
      observed: tally.observed,
      expected: tally.expected,
      dispersion: dispersionOf(tally, remains.get(tally.cause) ?? 1),
    })),
  );
}

const noControls: ControlRatio = { ratio: 1, relativeVariance: 0 };

type Touches = (task: PreventiveTask, cause: Cause) => boolean;

function judgedVisits(
  record: CauseRecord,
  { model, touches, horizonDays }: { model: WithoutVisit; touches: Touches; horizonDays: number },
): JudgedVisit[] {
  const all = pastVisits(record.history);
  const { asOf } = record.history;
  return all.flatMap((visit) => {
    const [task, second] = visit.tasks;
    if (task === undefined || second !== undefined || !isKnownAt(record, visit.at)) return [];
    return model.causes.flatMap((cause) => {
      const alike = all.filter(({ tasks }) => tasks.some((one) => one === task || touches(one, cause)));
      const since = visit.at - aftermathMs(horizonDays);
      if (alike.some(({ at }) => at >= since && at < visit.at)) return [];
      const span = windowAfter(visit, { visits: alike, asOf, horizonDays });
      const seen = record.events.filter(({ at }) => at >= span.startAt && at < span.endAt);
      return [{ task, cause, seen, expected: model.expected(record, { cause, knownAt: visit.at, span }) }];
    });
  });
}

type Remains = ReadonlyMap<Cause, number>;
type Parted = { readonly tallies: readonly Tally[]; readonly remains: Remains };

function partedTallies(
  judged: readonly JudgedVisit[],
  { settings, controls }: { settings: Settings; controls: (visit: JudgedVisit) => ControlRatio },
): Map<PreventiveTask, Parted> {
  const byTask = new Map<PreventiveTask, Map<Cause, Tally>>();
  for (const visit of judged) {
    const ofTask = byTask.get(visit.task) ?? new Map<Cause, Tally>();
    byTask.set(visit.task, ofTask);
    const tally = ofTask.get(visit.cause) ?? emptyTally(visit.cause);
    ofTask.set(visit.cause, tally);
    addVisit(tally, visit, controls(visit));
  }
  return new Map(
    [...byTask].map(([task, ofTask]) => {
      const tallies = [...ofTask.values()];
      return [task, { tallies, remains: partEvents(tallies, { task, settings }) }];
    }),
  );
}

type Tally = {
  readonly cause: Cause;
  readonly seen: CausedEvent[];
  /** Events expected by class of record, and the relative variance all of a class share. */
  readonly classes: Map<string, { mean: number; relativeVariance: number }>;
  visits: number;
  observed: number;
  expected: number;
  noise: number;
};

function emptyTally(cause: Cause): Tally {
  return { cause, seen: [], classes: new Map(), visits: 0, observed: 0, expected: 0, noise: 0 };
}

function addVisit(tally: Tally, { cause, seen, expected }: JudgedVisit, control: ControlRatio): void {
  const mean = expected.mean * control.ratio;
  const known = tally.classes.get(expected.recordClass)?.mean ?? 0;
  const relativeVariance = expected.relativeVariance + control.relativeVariance;
  tally.classes.set(expected.recordClass, { mean: known + mean, relativeVariance });
  tally.seen.push(...seen.filter(({ causes }) => causes.some((one) => one.cause === cause)));
  tally.visits += mean >= LEAST_EXPECTED ? 1 : 0;
  tally.observed += sharesOf(seen, cause);
  tally.expected += mean;
  tally.noise += mean * expected.dispersion;
}

// Doubt about the expectation acts on the count as noise that grows with it: its variance over the count's mean.
function dispersionOf({ classes, expected, noise }: Tally, remains: number): number {
  if (!(expected > 0)) return 1;
  const doubt = [...classes.values()].reduce(
    (sum, { mean, relativeVariance }) => sum + mean ** 2 * relativeVariance,
    0,
  );
  return Math.max(1, noise / expected) + remains * (doubt / expected + UNSEEN ** 2 * expected);
}

/**
 * Parts the events after visits by cause with the visits themselves taken into account: an event after a task that
 * mostly prevents one of its possible causes is likelier to be of another. Probabilities are weighed by what the task
 * leaves of each cause, that follows from the counts and their prior, and again, until they settle.
 */
function partEvents(
  tallies: readonly Tally[],
  { task, settings }: { task: PreventiveTask; settings: Settings },
): Remains {
  const weight = settings.effectPriorEvents;
  let remains: Remains = new Map();
  for (let round = 0; round < ROUNDS; round += 1) {
    remains = new Map(
      tallies.map(({ cause, observed, expected }) => {
        const stated = 1 - priorEffect(task, { cause, settings });
        const left = (observed + weight * stated) / (expected + weight);
        return [cause, Math.max(LEAST_LEFT, Math.min(1, left))];
      }),
    );
    for (const tally of tallies) {
      tally.observed = sharesOf(
        tally.seen.map((event) => ({ ...event, causes: reweighed(event.causes, remains) })),
        tally.cause,
      );
    }
  }
  return remains;
}

function reweighed(causes: readonly CauseShare[], remains: Remains): readonly CauseShare[] {
  const weighed = causes.map(({ cause, value }) => ({ cause, value: value * (remains.get(cause) ?? 1) }));
  const total = weighed.reduce((sum, { value }) => sum + value, 0);
  return total > 0 ? weighed.map(({ cause, value }) => ({ cause, value: value / total })) : causes;
}
