import { inWords, percentInWords } from "@/lib/analyse/wording";
import type { FailureMode } from "@/lib/rank/causes";
import { type PreventiveTask, preventiveTasks } from "@/lib/rank/effects";
import { type ExpectedEffect, expectedEffect } from "@/lib/rank/expected-effect";
import type { LearnedEffects } from "@/lib/rank/learned-effects";
import type { CostLine, ProposedVisit } from "@/lib/rank/result";
import { spreadAround } from "@/lib/rank/spread";
import { sumOf, visitCostLines } from "@/lib/rank/visit-cost";
import type { Access } from "@/lib/records/vocabulary";
import type { Settings } from "@/lib/settings/settings";

/** What the choice of a visit rests on. */
export type VisitChoice = {
  readonly access: Access;
  readonly modes: readonly FailureMode[];
  readonly learned: LearnedEffects;
  readonly settings: Settings;
};

/** The visit with the best expected net benefit among those of the preventive tasks; of equals the first of their order. */
export function bestVisit(visits: readonly ProposedVisit[]): ProposedVisit {
  const [first, ...others] = visits;
  if (!first) throw new RangeError("no preventive task to choose from");
  return others.reduce((best, visit) => (visit.netBenefit > best.netBenefit ? visit : best), first);
}

/** A visit for each preventive task, in their order. */
export function visitsFor(choice: VisitChoice): ProposedVisit[] {
  return preventiveTasks.map((task) => visitFor(task, choice));
}

/** A visit for one task: its cost alone, what it is expected to avoid, and the difference. */
export function visitFor(task: PreventiveTask, { access, modes, learned, settings }: VisitChoice): ProposedVisit {
  const costLines = visitCostLines(task, { access, settings });
  const parts = modes.map((mode) => {
    const effect = effectOn(mode, task, learned);
    const perEvent = mode.kind === "fault" ? settings.perFaultEpisode : settings.perUnwantedAlarm;
    const prevented = mode.mean * effect.share;
    return {
      mode,
      effect,
      prevented,
      minor: perEvent * prevented,
      variance: perEvent ** 2 * (effect.share ** 2 * mode.variance + (prevented * effect.relativeSd) ** 2),
    };
  });
  const cost = sumOf(costLines);
  const mean = parts.reduce((sum, part) => sum + part.minor, 0);
  const variance = parts.reduce((sum, part) => sum + part.variance, 0);
  const avoidedCost = spreadAround({ mean, variance });
  return {
    task,
    cost,
    avoidedCost,
    netBenefit: mean - cost,
    reason: reasonOf(task, parts),
    costLines,
    avoidedLines: [lineOf("Faults prevented", "fault", parts), lineOf("Unwanted alarms prevented", "alarm", parts)],
  };
}

type Part = {
  readonly mode: FailureMode;
  readonly effect: { readonly share: number };
  readonly prevented: number;
  readonly minor: number;
};

function effectOn(
  { kind, cause, certainty }: FailureMode,
  task: PreventiveTask,
  learned: LearnedEffects,
): ExpectedEffect {
  const likely = [
    { cause, value: certainty },
    { cause: "unknown" as const, value: 1 - certainty },
  ];
  return expectedEffect(likely, (one) => learned.of(task, kind, one));
}

function lineOf(label: string, kind: FailureMode["kind"], parts: readonly Part[]): CostLine {
  const own = parts.filter((part) => part.mode.kind === kind);
  return {
    label: `${label}: ${inWords(own.reduce((sum, part) => sum + part.prevented, 0))}`,
    minor: own.reduce((sum, part) => sum + part.minor, 0),
  };
}

const does: Readonly<Record<PreventiveTask, string>> = {
  clean: "Cleaning",
  realign: "Realigning",
  repair: "A repair",
  replace: "Replacing it",
  survey: "A survey with the small measures that follow",
};

function reasonOf(task: PreventiveTask, parts: readonly Part[]): string {
  const [largest] = [...parts].sort((a, b) => b.minor - a.minor);
  if (!largest || largest.mode.mean === 0) return "Nothing is expected that a visit could prevent.";
  const { mode, effect } = largest;
  const events = mode.kind === "fault" ? "faults" : "unwanted alarms";
  const cause =
    mode.cause === "unknown" ? "no single cause stands out" : `the likely cause is ${causeInWords(mode.cause)}`;
  return `${does[task]} is expected to prevent ${percentInWords(effect.share)} of ${inWords(mode.mean)} ${events}; ${cause}.`;
}

function causeInWords(cause: FailureMode["cause"]): string {
  if (cause === "equipment") return "the equipment itself";
  return cause === "mount that will not hold" || cause === "blocked path" ? `a ${cause}` : cause;
}
