import type { SettingDefinition } from "@/lib/settings/definition";

const share = { group: "effects", unit: "share", min: 0, max: 0.95, source: "common_practice" } as const;

/** What a task is expected to prevent before the fleet's own before-and-after records say more. */
export const effectSettings = {
  effectFits: {
    ...share,
    label: "Task that fits the cause",
    meaning: "Share of the expected events that a task prevents where it is the usual remedy of the cause found.",
    default: 0.7,
  },
  effectPart: {
    ...share,
    label: "Task that helps in part",
    meaning: "The same where the task eases the cause for a time or meets a part of it.",
    default: 0.3,
  },
  effectUnknown: {
    ...share,
    label: "Survey with the cause unknown",
    meaning: "The same of a survey where no cause stands out; any other task then counts as one that misses.",
    default: 0.15,
  },
  effectMisses: {
    ...share,
    label: "Task that misses the cause",
    meaning: "The same where the task does not touch the cause found.",
    default: 0.03,
  },
  effectSpread: {
    ...share,
    source: "choice",
    label: "Doubt about a task's effect",
    meaning: "Standard deviation of these shares, as a share of each; it widens the interval of the avoided cost.",
    default: 0.35,
  },
  effectPriorEvents: {
    group: "effects",
    unit: "count",
    min: 1,
    max: 10_000,
    source: "choice",
    label: "Weight of these shares against the fleet's records",
    meaning: "Expected events after past visits at which the fleet's own before-and-after counts weigh as much.",
    default: 20,
  },
} as const satisfies Record<string, SettingDefinition>;
