import type { EventKind } from "@/lib/analyse/modes/cause";
import type { EffectLine } from "@/lib/rank/backtest/backtest-result";
import { preventiveTasks } from "@/lib/rank/effects";
import type { LearnedEffects } from "@/lib/rank/learned-effects";
import type { Settings } from "@/lib/settings/settings";

const about: readonly (readonly [EventKind, string])[] = [
  ["fault", "faults"],
  ["alarm", "unwanted alarms"],
];
const HALF_WIDTH = 1.645;

/**
 * Learned effects as a table: for each task and kind of event what past visits showed, and the share prevented that the
 * ranking takes where a task meets its cause in part, with a 90 % interval within 0 and 1.
 */
export function effectLines(learned: LearnedEffects, settings: Settings): EffectLine[] {
  const prior = settings.effectPart;
  return preventiveTasks.flatMap((task) =>
    about.map(([kind, words]) => {
      const { factor, relativeSd, visits, observed, expected } = learned.of(task, kind);
      const mean = Math.min(1, factor * prior);
      const half = HALF_WIDTH * relativeSd * mean;
      const prevented = { mean, low: Math.max(0, mean - half), high: Math.min(1, mean + half) };
      return { task, about: words, visits, observed, expected, prevented, prior };
    }),
  );
}
