import { type Cause, causes, type EventKind } from "@/lib/analyse/modes/cause";
import { type PreventiveTask, priorEffect, touchesCause } from "@/lib/rank/effects";
import {
  type CausedEvent,
  type CauseRecord,
  causeCertainties,
  placeOf,
  sharesOf,
} from "@/lib/rank/visit-effects/cause-record";
import { type ControlRatio, controlRatios, type JudgedVisit } from "@/lib/rank/visit-effects/control-visits";
import { judgedVisits } from "@/lib/rank/visit-effects/judged-visits";
import { fitWithoutVisit } from "@/lib/rank/visit-effects/without-visit";
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
  /** Variance of `observed` over its mean, doubt about `expected` and about the cause included; at least 1. */
  readonly dispersion: number;
};

const LEAST_EXPECTED = 0.05;
const ROUNDS = 8;
const LEAST_LEFT = 0.05;
// However many the records, what moved people to visit is known no better than to this share of what they expected.
const UNSEEN = 0.15;
// What a task prevents of the other causes an event may have had differs from what it prevents of this by about so much.
const OTHERWISE = 0.25;
// Where fewer events than this were expected, what was seen tells more of the expectation than of the task.
const LITTLE = 4;

/**
 * Evidence of the past visits of a fleet by task and cause, for events of one kind; empty where too few events are on
 * record.
 *
 * Left out: visits with two preventive tasks, which records cannot part, and visits within half a year after another
 * that touched the same cause, as the record before them is already that of a visited detector.
 */
export function visitEvidence(
  records: readonly CauseRecord[],
  { kind, settings, horizonDays }: { kind: EventKind; settings: Settings; horizonDays: number },
): Evidence[] {
  const touched = new Map(
    causes.map((cause) => [placeOf(cause), (task: PreventiveTask) => touchesCause(task, { cause })]),
  );
  const touches = (task: PreventiveTask, place: number) => touched.get(place)?.(task) ?? false;
  const model = fitWithoutVisit(records, { horizonDays, touches });
  if (model === null) return [];
  const judged = records.flatMap((record) => judgedVisits(record, { model, touches, horizonDays }));
  const first = partedTallies(judged, { settings, controls: () => noControls });
  const missed = judged.flatMap((visit) => {
    const remains = first.get(visit.task)?.remains;
    if (touches(visit.task, visit.place) || remains === undefined) return [];
    return [{ ...visit, seen: visit.seen.map((event) => ({ ...event, shares: reweighed(event.shares, remains) })) }];
  });
  const controls = controlRatios(missed, settings.effectMisses);
  const certainties = causeCertainties(records);
  return [...partedTallies(judged, { settings, controls })].flatMap(([task, { tallies, remains }]) =>
    tallies.map((tally) => ({
      task,
      kind,
      cause: tally.cause,
      visits: tally.visits,
      observed: tally.observed,
      expected: tally.expected,
      dispersion: dispersionOf(tally, {
        remains: remains[tally.place] ?? 1,
        certainty: tally.cause === "unknown" ? 1 : (certainties[tally.place] ?? 1),
      }),
    })),
  );
}

const noControls: ControlRatio = { ratio: 1, relativeVariance: 0 };

/** Share a task leaves of each cause, by place. */
type Remains = Float64Array;
type Parted = { readonly tallies: readonly Tally[]; readonly remains: Remains };

function partedTallies(
  judged: readonly JudgedVisit[],
  { settings, controls }: { settings: Settings; controls: (visit: JudgedVisit) => ControlRatio },
): Map<PreventiveTask, Parted> {
  const byTask = new Map<PreventiveTask, Map<number, Tally>>();
  for (const visit of judged) {
    const ofTask = byTask.get(visit.task) ?? new Map<number, Tally>();
    byTask.set(visit.task, ofTask);
    const tally = ofTask.get(visit.place) ?? emptyTally(visit.place);
    ofTask.set(visit.place, tally);
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
  readonly place: number;
  readonly cause: Cause;
  readonly seen: CausedEvent[];
  /** Events expected by class of record, and the relative variance all of a class share. */
  readonly classes: Map<number, { mean: number; relativeVariance: number }>;
  visits: number;
  observed: number;
  expected: number;
  noise: number;
};

function emptyTally(place: number): Tally {
  const cause = causes[place] ?? "unknown";
  return { place, cause, seen: [], classes: new Map(), visits: 0, observed: 0, expected: 0, noise: 0 };
}

function addVisit(tally: Tally, { place, seen, expected }: JudgedVisit, control: ControlRatio): void {
  const mean = expected.mean * control.ratio;
  const known = tally.classes.get(expected.recordClass)?.mean ?? 0;
  const relativeVariance = expected.relativeVariance + control.relativeVariance;
  tally.classes.set(expected.recordClass, { mean: known + mean, relativeVariance });
  for (const event of seen) if ((event.shares[place] ?? 0) > 0) tally.seen.push(event);
  tally.visits += mean >= LEAST_EXPECTED ? 1 : 0;
  tally.observed += sharesOf(seen, place);
  tally.expected += mean;
  tally.noise += mean * expected.dispersion;
}

// Doubt about the expectation acts on the count as noise that grows with it: its variance over the count's mean. So does
// doubt about the cause: a part of what was expected was of other causes, all of it more or less prevented together.
function dispersionOf(
  { classes, expected, noise }: Tally,
  { remains, certainty }: { remains: number; certainty: number },
): number {
  if (!(expected > 0)) return 1;
  const doubt = [...classes.values()].reduce(
    (sum, { mean, relativeVariance }) => sum + mean ** 2 * relativeVariance,
    0,
  );
  const wrong = (OTHERWISE * (1 - certainty)) ** 2 / remains;
  const little = 1 + LITTLE / expected;
  return (
    little * Math.max(1, noise / expected) + remains * (doubt / expected + UNSEEN ** 2 * expected) + wrong * expected
  );
}

/**
 * Parts the events after visits by cause with the visits themselves taken into account: an event after a task that
 * mostly prevents one of its possible causes is likelier to be of another. Probabilities are weighed by what the task
 * leaves of each cause, that follows from the counts and their prior, and again, until they settle. A cause the task
 * misses stays as it is stated.
 */
function partEvents(
  tallies: readonly Tally[],
  { task, settings }: { task: PreventiveTask; settings: Settings },
): Remains {
  const weight = settings.effectPriorEvents;
  const remains: Remains = Float64Array.from(causes, () => 1);
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const { place, cause, observed, expected } of tallies) {
      const stated = 1 - priorEffect(task, { cause, settings });
      const learned = (observed + weight * stated) / (expected + weight);
      const left = touchesCause(task, { cause }) ? learned : stated;
      remains[place] = Math.max(LEAST_LEFT, Math.min(1, left));
    }
    for (const tally of tallies) {
      tally.observed = 0;
      for (const { shares } of tally.seen) tally.observed += reweighedShare(shares, { remains, place: tally.place });
    }
  }
  return remains;
}

function reweighedShare(shares: Float64Array, { remains, place }: { remains: Remains; place: number }): number {
  let total = 0;
  for (let at = 0; at < shares.length; at += 1) total += (shares[at] ?? 0) * (remains[at] ?? 1);
  return total > 0 ? ((shares[place] ?? 0) * (remains[place] ?? 1)) / total : (shares[place] ?? 0);
}

function reweighed(shares: Float64Array, remains: Remains): Float64Array {
  return shares.map((_, place) => reweighedShare(shares, { remains, place }));
}
