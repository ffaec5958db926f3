import type { Cause } from "@/lib/analyse/modes/cause";
import type { Settings } from "@/lib/settings/settings";

/** Tasks a preventive visit may be made for, in the order in which equals are preferred. */
export const preventiveTasks = ["clean", "realign", "survey", "repair", "replace"] as const;

/** One of {@link preventiveTasks}. */
export type PreventiveTask = (typeof preventiveTasks)[number];

type Level = "fits" | "part" | "unknown" | "misses";

/** How far each task meets each cause over some months. Source: common practice, with reasons in docs/methods. */
const levels: Readonly<Record<Cause, Readonly<Record<PreventiveTask, Level>>>> = {
  soiling: { clean: "fits", realign: "misses", survey: "misses", repair: "misses", replace: "part" },
  "compensation at its limit": {
    clean: "fits",
    realign: "misses",
    survey: "misses",
    repair: "misses",
    replace: "part",
  },
  "thermal movement": { clean: "misses", realign: "fits", survey: "part", repair: "part", replace: "misses" },
  "mount that will not hold": { clean: "misses", realign: "part", survey: "fits", repair: "part", replace: "misses" },
  "knocked out of line": { clean: "misses", realign: "fits", survey: "part", repair: "part", replace: "misses" },
  ageing: { clean: "misses", realign: "misses", survey: "misses", repair: "part", replace: "fits" },
  "low sun": { clean: "misses", realign: "misses", survey: "fits", repair: "misses", replace: "misses" },
  "cold or steam mornings": { clean: "misses", realign: "misses", survey: "fits", repair: "misses", replace: "misses" },
  insects: { clean: "fits", realign: "misses", survey: "part", repair: "misses", replace: "misses" },
  "seasonal stock": { clean: "misses", realign: "misses", survey: "fits", repair: "misses", replace: "misses" },
  "blocked path": { clean: "misses", realign: "misses", survey: "fits", repair: "misses", replace: "misses" },
  equipment: { clean: "misses", realign: "misses", survey: "misses", repair: "fits", replace: "fits" },
  // Only a survey looks for the cause; work done blindly meets what hides here no oftener than by chance.
  unknown: { clean: "misses", realign: "misses", survey: "unknown", repair: "misses", replace: "misses" },
};

/** Share of the expected events of one cause that a task prevents, before the fleet's own records; 0 to 0.95. */
export function priorEffect(task: PreventiveTask, { cause, settings }: { cause: Cause; settings: Settings }): number {
  const byLevel: Readonly<Record<Level, number>> = {
    fits: settings.effectFits,
    part: settings.effectPart,
    unknown: settings.effectUnknown,
    misses: settings.effectMisses,
  };
  return byLevel[levels[cause][task]];
}

/** Whether a task is stated to prevent more of a cause than one that cannot touch it. */
export function touchesCause(task: PreventiveTask, { cause }: { cause: Cause }): boolean {
  return levels[cause][task] !== "misses";
}
