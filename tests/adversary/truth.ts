import type { PreventiveTask } from "@/lib/rank/effects";
import { sumOf, visitCostLines } from "@/lib/rank/visit-cost";
import type { Access } from "@/lib/records/vocabulary";
import type { Settings } from "@/lib/settings/settings";
import { causeOf, type Mechanism, mechanisms, visitTasks } from "@/tests/adversary/mechanism";

/** Expected episodes of one detector over the horizon. */
export type Expected = { readonly faults: number; readonly alarms: number };

/** The kinds of findings whose truth is planted. */
export const plantedKinds = ["rising_faults", "seasonal_alarms", "repeat_realignment", "signal_drift"] as const;

/** One of {@link plantedKinds}. */
export type PlantedKind = (typeof plantedKinds)[number];

/**
 * What is truly so of a kind: `none` where a finding would be false, `strong` where it ought to be found, `mild`
 * between the two, where listing it is right and missing it forgivable.
 */
export type Planted = "none" | "mild" | "strong";

/** Expected episodes of one mechanism. */
export type PartExpected = Expected & { readonly mechanism: Mechanism };

/** The truth about one detector as of the moment of the analysis. */
export type DetectorTruth = {
  readonly access: Access;
  /** Expected episodes over the horizon without a visit by mechanism, those without any left out; largest first. */
  readonly mechanisms: readonly PartExpected[];
  /** What one would expect who is told the cause of every past episode but no rate; a mark of what is attainable. */
  readonly informed: readonly PartExpected[];
  readonly without: Expected;
  /** Variance of the numbers without a visit, of the hidden future and of the counts. */
  readonly variance: Expected;
  readonly withTask: Readonly<Record<PreventiveTask, Expected>>;
  /** Episodes that came in the world without a visit, as the product counts them. */
  readonly realised: Expected;
  readonly planted: Readonly<Record<PlantedKind, Planted>>;
};

/** What a task is truly worth: cost avoided, cost of the visit, and their difference, in minor units. */
export type TrueVisit = {
  readonly task: PreventiveTask;
  readonly avoided: number;
  readonly cost: number;
  readonly net: number;
};

/** The true worth of one task on a detector alone. */
export function trueVisit(truth: DetectorTruth, task: PreventiveTask, settings: Settings): TrueVisit {
  const { without, withTask, access } = truth;
  const avoided =
    settings.perFaultEpisode * (without.faults - withTask[task].faults) +
    settings.perUnwantedAlarm * (without.alarms - withTask[task].alarms);
  const cost = sumOf(visitCostLines(task, { access, settings }));
  return { task, avoided, cost, net: avoided - cost };
}

/** The task of the largest true net benefit. */
export function bestTrueVisit(truth: DetectorTruth, settings: Settings): TrueVisit {
  return visitTasks
    .map((task) => trueVisit(truth, task, settings))
    .reduce((best, visit) => (visit.net > best.net ? visit : best));
}

/** Expected cost of the horizon without a visit, in minor units. */
export function trueCost({ without }: DetectorTruth, settings: Settings): number {
  return costOf(without, settings);
}

/** Cost of so many episodes. */
export function costOf({ faults, alarms }: Expected, settings: Settings): number {
  return settings.perFaultEpisode * faults + settings.perUnwantedAlarm * alarms;
}

/** The mechanism behind most of the expected cost, plain background only where nothing else is behind any of it. */
export function dominantOf(truth: DetectorTruth, settings: Settings): Mechanism {
  const [first] = truth.mechanisms
    .filter(({ mechanism }) => mechanism !== "background")
    .sort((a, b) => costOf(b, settings) - costOf(a, settings));
  return first?.mechanism ?? mechanisms[0];
}

/** The product's word for the cause behind a mechanism. */
export function causeOfTruth(mechanism: Mechanism): string {
  return causeOf[mechanism];
}
