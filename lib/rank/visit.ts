import type { ModeOutlook } from "@/lib/analyse/forecast/detector-forecast";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import { inWords, percentInWords } from "@/lib/analyse/wording";
import { type PreventiveTask, preventiveTasks } from "@/lib/rank/effects";
import { expectedEffect } from "@/lib/rank/expected-effect";
import type { LearnedEffects } from "@/lib/rank/learned-effects";
import type { CostLine, ProposedVisit } from "@/lib/rank/result";
import { spreadAround } from "@/lib/rank/spread";
import { sumOf, visitCostLines } from "@/lib/rank/visit-cost";
import type { Access } from "@/lib/records/vocabulary";
import type { Settings } from "@/lib/settings/settings";

/** What the choice of a visit rests on. */
export type VisitChoice = {
  readonly access: Access;
  /** Events expected without a visit, by kind and cause. */
  readonly modes: readonly ModeOutlook[];
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
  const faults = partOf("fault", { task, modes, learned, perEvent: settings.perFaultEpisode });
  const alarms = partOf("alarm", { task, modes, learned, perEvent: settings.perUnwantedAlarm });
  const cost = sumOf(costLines);
  const mean = faults.minor + alarms.minor;
  const leading = alarms.minor > faults.minor ? alarms : faults;
  return {
    task,
    cost,
    avoidedCost: spreadAround({ mean, variance: faults.variance + alarms.variance }),
    netBenefit: mean - cost,
    cause: leading.cause,
    reason: reasonOf(task, leading),
    costLines,
    avoidedLines: [lineOf("Faults prevented", faults), lineOf("Unwanted alarms prevented", alarms)],
  };
}

/** What a task does to one kind of event: events without it, share and number prevented, money, and the likeliest cause. */
type Part = {
  readonly kind: EventKind;
  readonly expected: number;
  readonly share: number;
  readonly minor: number;
  readonly variance: number;
  readonly cause: { readonly name: Cause; readonly probability: number } | null;
};

// One cause is taken to stand behind all events of a kind, so the doubt which one it is widens the interval.
function partOf(
  kind: EventKind,
  {
    task,
    modes,
    learned,
    perEvent,
  }: { task: PreventiveTask; modes: VisitChoice["modes"]; learned: LearnedEffects; perEvent: number },
): Part {
  const own = modes.filter((mode) => mode.kind === kind);
  const expected = own.reduce((sum, { mean }) => sum + mean, 0);
  const chance = own.reduce((sum, { variance }) => sum + variance, 0);
  const { share, sd } = expectedEffect(
    own.map(({ cause, mean }) => ({ cause, value: mean })),
    (cause) => learned.of(task, kind, cause),
  );
  const [largest] = [...own].sort((a, b) => b.mean - a.mean);
  return {
    kind,
    expected,
    share,
    minor: perEvent * expected * share,
    variance: perEvent ** 2 * (share ** 2 * chance + (expected * sd) ** 2),
    cause: largest && expected > 0 ? { name: largest.cause, probability: largest.mean / expected } : null,
  };
}

function lineOf(label: string, { expected, share, minor }: Part): CostLine {
  return { label: `${label}: ${inWords(expected * share)}`, minor };
}

const does: Readonly<Record<PreventiveTask, string>> = {
  clean: "Cleaning",
  realign: "Realigning",
  repair: "A repair",
  replace: "Replacing it",
  survey: "A survey with the small measures that follow",
};

function reasonOf(task: PreventiveTask, { kind, expected, share, cause }: Part): string {
  if (expected === 0) return "Nothing is expected that a visit could prevent.";
  const events = kind === "fault" ? "faults" : "unwanted alarms";
  return `${does[task]} is expected to prevent ${percentInWords(share)} of ${inWords(expected)} ${events}; ${causeInWords(cause)}.`;
}

function causeInWords(cause: Part["cause"]): string {
  if (cause === null || cause.name === "unknown") return "no single cause stands out";
  const { name, probability } = cause;
  const named = name === "equipment" ? "the equipment itself" : articles.includes(name) ? `a ${name}` : name;
  return `the likeliest cause is ${named} (${percentInWords(probability)})`;
}

const articles: readonly Cause[] = ["mount that will not hold", "blocked path"];
