import type { DetectorHistory } from "@/lib/analyse/history";
import { type Cause, causes, type EventKind } from "@/lib/analyse/modes/cause";
import { type PreventiveTask, preventiveTasks, priorEffect, touchesCause } from "@/lib/rank/effects";
import { type CausesOf, causeRecord } from "@/lib/rank/visit-effects/cause-record";
import { sharePosteriors } from "@/lib/rank/visit-effects/task-posterior";
import { type Evidence, visitEvidence } from "@/lib/rank/visit-effects/visit-evidence";
import type { Settings } from "@/lib/settings/settings";

/** Share of the expected events of one cause that a task prevents over the horizon, and what it rests on. */
export type LearnedEffect = {
  /** Posterior mean, 0 to 0.95, its standard deviation and 90 % interval. */
  readonly share: number;
  readonly sd: number;
  readonly low: number;
  readonly high: number;
  /** Past visits for the task to detectors of which events of the cause were expected. */
  readonly visits: number;
  /** Events seen after those visits, and events expected without them. */
  readonly observed: number;
  readonly expected: number;
  /** The stated share, before any record. */
  readonly priorShare: number;
  readonly source: "records" | "prior";
};

/** A learned effect with its task, kind of event and cause. */
export type EffectCell = LearnedEffect & {
  readonly task: PreventiveTask;
  readonly kind: EventKind;
  readonly cause: Cause;
};

/** Learned effects by task, kind of event and cause. */
export type LearnedEffects = {
  readonly of: (task: PreventiveTask, kind: EventKind, cause: Cause) => LearnedEffect;
  /** All cells with past visits, in the order of tasks, kinds and causes. */
  readonly table: readonly EffectCell[];
};

const DEFAULT_HORIZON_DAYS = 90;
const kinds: readonly EventKind[] = ["fault", "alarm"];

/**
 * What each task prevents of each cause, learned from the fleet's own visits against its own unvisited time.
 *
 * Events after a visit (over the horizon, to the next visit) stand against what the detector's record before it, its
 * signal and the season let expect without one; the stated shares are the prior, and a cell without records keeps its
 * own. A task that cannot touch a cause keeps its stated share whatever the records: where it seems to help, the cause was
 * another. An effect on causes that are not known is only ever lowered: past visits were made by people who saw more than
 * the records tell, so their success says little of a task chosen blindly.
 *
 * @param causesOf - probability of each cause of a detector's episodes; without it panel words and verdicts
 * @param horizonDays - over which the share is meant, above 0
 * Method: docs/methods/visit-effects-and-ranking.md. Cost: O(detectors x horizons x causes).
 */
export function learnEffects(
  histories: readonly DetectorHistory[],
  settings: Settings,
  { causesOf, horizonDays = DEFAULT_HORIZON_DAYS }: { causesOf?: CausesOf; horizonDays?: number } = {},
): LearnedEffects {
  if (!(horizonDays > 0 && horizonDays < Infinity)) throw new RangeError(`horizon must be above 0: ${horizonDays}`);
  const joinDays = settings.clusterJoinDays;
  const evidence = kinds.flatMap((kind) => {
    const records = histories.map((history) => causeRecord(history, { kind, joinDays, causesOf }));
    return visitEvidence(records, { kind, settings, horizonDays });
  });
  const cells = preventiveTasks.flatMap((task) => cellsOf(task, { evidence, settings }));
  const byKey = new Map(cells.map((cell) => [keyOf(cell), cell]));
  return {
    of: (task, kind, cause) => {
      const cell = byKey.get(keyOf({ task, kind, cause }));
      if (cell === undefined) throw new RangeError(`no effect of ${task} on ${kind} by ${cause}`);
      return cell;
    },
    table: cells.filter(({ visits }) => visits > 0),
  };
}

type CellName = Pick<EffectCell, "task" | "kind" | "cause">;
function keyOf({ task, kind, cause }: CellName): string {
  return `${task} ${kind} ${cause}`;
}

function cellsOf(
  task: PreventiveTask,
  { evidence, settings }: { evidence: readonly Evidence[]; settings: Settings },
): EffectCell[] {
  const prior = { weight: settings.effectPriorEvents, spread: settings.effectSpread };
  const counts = kinds.flatMap((kind) =>
    causes.map((cause) => {
      const own = evidence.find((one) => one.task === task && one.kind === kind && one.cause === cause);
      const { visits, observed, expected, dispersion } = own ?? nothing;
      const stated = priorEffect(task, { cause, settings });
      const touched = touchesCause(task, { cause });
      const speaks = touched && cause !== "unknown";
      return { kind, cause, visits, stated, observed, expected, dispersion, touched, speaks };
    }),
  );
  const touched = counts.filter((count) => count.touched);
  const posteriors = new Map(sharePosteriors(touched, prior).map((posterior, index) => [touched[index], posterior]));
  return counts.map((count) => {
    const { kind, cause, visits, stated, observed, expected } = count;
    const [asStated] = sharePosteriors([{ ...count, observed: 0, expected: 0 }], prior);
    const { mean, ...doubt } = posteriors.get(count) ?? asStated ?? { mean: stated, sd: 0, low: stated, high: stated };
    const blind = cause === "unknown" && mean > stated;
    const source = visits > 0 && count.touched && !blind ? "records" : "prior";
    const share = blind ? stated : mean;
    const low = Math.min(doubt.low, share);
    return { task, kind, cause, share, ...doubt, low, visits, observed, expected, priorShare: stated, source };
  });
}

const nothing = { visits: 0, observed: 0, expected: 0, dispersion: 1 };
