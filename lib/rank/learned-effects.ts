import type { DetectorHistory } from "@/lib/analyse/history";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { lengthOf, type Span, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { type PreventiveTask, preventiveTasks } from "@/lib/rank/effects";
import type { Settings } from "@/lib/settings/settings";
import { expectedAfter } from "@/lib/statistics/before-after";
import { fitGammaPoisson } from "@/lib/statistics/shrinkage";

/** What the fleet's own visits say of a task: a factor on its stated effect, with its doubt and what it rests on. */
export type LearnedEffect = {
  /** 1 where records say nothing; below 1 where visits prevented less than stated. */
  readonly factor: number;
  /** Standard deviation of the prevented share as a share of it. */
  readonly relativeSd: number;
  readonly visits: number;
  /** Events seen and events expected without the visit, summed over the visits. */
  readonly observed: number;
  readonly expected: number;
};

/** Learned effects by task and kind of event. */
export type LearnedEffects = { readonly of: (task: PreventiveTask, kind: EventKind) => LearnedEffect };

const TRIGGER_DAYS = 30;
const BEFORE_DAYS = 730;
const AFTER_DAYS = 180;
const LEAST_DAYS = 30;
// Past visits met their cause or missed it, and records do not say which; so they may move the stated share only so far.
const SMALLEST_FACTOR = 0.7;
const LARGEST_FACTOR = 1.3;

/**
 * Effects of past visits of the fleet, corrected for regression to the mean and shrunk to the stated ones.
 *
 * Events after each visit are compared with what the detector's own count before and the fleet's spread of rates let
 * expect without one (visits follow bad months, which improve by themselves). The month before a visit is left out, as
 * the events that called for it are selected; the time after ends with the next visit or after half a year.
 */
export function learnEffects(histories: readonly DetectorHistory[], settings: Settings): LearnedEffects {
  const table = new Map<string, LearnedEffect>();
  for (const kind of ["fault", "alarm"] as const) {
    const records = histories.map((history) => recordOf(history, kind));
    const prior = finitePrior(records);
    for (const task of preventiveTasks) {
      const sums = { observed: 0, expected: 0, visits: 0 };
      for (const [index, { work, asOf }] of histories.entries()) {
        const record = records[index];
        if (record && prior) addVisits(sums, { record, task, work, asOf, prior });
      }
      table.set(`${task} ${kind}`, shrunk(sums, settings));
    }
  }
  const nothing = shrunk({ observed: 0, expected: 0, visits: 0 }, settings);
  return { of: (task, kind) => table.get(`${task} ${kind}`) ?? nothing };
}

type Recorded = { readonly events: readonly number[]; readonly exposure: readonly Span[] };
type Sums = { observed: number; expected: number; visits: number };

function recordOf({ faultClusters, alarmClusters, exposure }: DetectorHistory, kind: EventKind): Recorded {
  return kind === "fault"
    ? { events: faultClusters.map(({ beganAt }) => beganAt), exposure: exposure.faultRisk }
    : { events: alarmClusters.map(({ beganAt }) => beganAt), exposure: exposure.observed };
}

function finitePrior(records: readonly Recorded[]): { shape: number; rate: number } | null {
  const exposures = records.map(({ exposure }) => lengthOf(exposure) / DAY_MS);
  const counts = records.map(({ events }) => events.length);
  if (!exposures.some((days) => days > 0) || !counts.some((count) => count > 0)) return null;
  const { shape, rate, mean } = fitGammaPoisson({ counts, exposures });
  return shape === Infinity ? { shape: 1e6, rate: 1e6 / mean } : { shape, rate };
}

function addVisits(
  sums: Sums,
  {
    record,
    task,
    work,
    asOf,
    prior,
  }: {
    record: Recorded;
    task: PreventiveTask;
    work: DetectorHistory["work"];
    asOf: number;
    prior: { shape: number; rate: number };
  },
): void {
  const visits = work.filter((one) => preventiveTasks.some((preventive) => preventive === one.task));
  for (const [index, visit] of visits.entries()) {
    if (visit.task !== task) continue;
    const next = visits.slice(index + 1).find((one) => one.doneAt > visit.doneAt + DAY_MS)?.doneAt ?? asOf;
    const before = counted(record, {
      startAt: visit.doneAt - BEFORE_DAYS * DAY_MS,
      endAt: visit.doneAt - TRIGGER_DAYS * DAY_MS,
    });
    const after = counted(record, {
      startAt: visit.doneAt,
      endAt: Math.min(next, asOf, visit.doneAt + AFTER_DAYS * DAY_MS),
    });
    if (before.exposure < LEAST_DAYS || after.exposure < LEAST_DAYS) continue;
    // A detector no worse than the fleet leaves a task nothing to prevent, and would only say that it prevented nothing.
    if (before.count / before.exposure <= prior.shape / prior.rate) continue;
    sums.visits += 1;
    sums.observed += after.count;
    sums.expected += expectedAfter({ before, after }, prior).expected;
  }
}

function counted({ events, exposure }: Recorded, window: Span): { count: number; exposure: number } {
  return {
    count: events.filter((at) => at >= window.startAt && at < window.endAt).length,
    exposure: lengthOf(within(exposure, window)) / DAY_MS,
  };
}

// The stated share counts as so many expected events; past visits were of all degrees of fit, so the middle one.
function shrunk({ observed, expected, visits }: Sums, settings: Settings): LearnedEffect {
  const weight = settings.effectPriorEvents;
  const stated = Math.max(0.01, settings.effectPart);
  const left = (observed + weight * (1 - stated)) / (expected + weight);
  const factor = Math.min(LARGEST_FACTOR, Math.max(SMALLEST_FACTOR, (1 - left) / stated));
  const sd = Math.sqrt(observed + weight * (1 - stated)) / (expected + weight);
  const relativeSd = Math.min(1, Math.hypot(settings.effectSpread, sd / Math.max(stated, 1 - left)));
  return { factor, relativeSd, visits, observed, expected };
}
