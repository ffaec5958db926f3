import type { Cause } from "@/lib/analyse/modes/cause";
import type { Chance } from "@/lib/kernel/chance";
import type { PreventiveTask } from "@/lib/rank/effects";
import { between } from "@/tests/adversary/dice";

/** What drives a detector's events; several may act on one detector. */
export const mechanisms = [
  "background",
  "soiling",
  "thermal",
  "mount",
  "knocked",
  "low_sun",
  "condensation",
  "insects",
  "obstruction",
  "works_dust",
  "ageing",
  "equipment",
  "wear_out",
] as const;

/** One of {@link mechanisms}. */
export type Mechanism = (typeof mechanisms)[number];

/** Places of the mechanisms in every array of hazards. */
export const M: Readonly<Record<Mechanism, number>> = {
  background: 0,
  soiling: 1,
  thermal: 2,
  mount: 3,
  knocked: 4,
  low_sun: 5,
  condensation: 6,
  insects: 7,
  obstruction: 8,
  works_dust: 9,
  ageing: 10,
  equipment: 11,
  wear_out: 12,
};

/** Tasks in the order of their columns. */
export const visitTasks: readonly PreventiveTask[] = ["clean", "realign", "survey", "repair", "replace"];

/** Tasks that meet a mechanism, and those that help it a little. Common practice: the task column of known causes. */
const remedies: Readonly<Record<Mechanism, { meets: readonly PreventiveTask[]; eases: readonly PreventiveTask[] }>> = {
  background: { meets: [], eases: [] },
  soiling: { meets: ["clean"], eases: ["replace"] },
  thermal: { meets: ["realign"], eases: ["survey", "repair"] },
  mount: { meets: ["survey", "repair"], eases: ["realign"] },
  knocked: { meets: ["realign"], eases: ["survey", "repair"] },
  low_sun: { meets: ["survey"], eases: [] },
  condensation: { meets: ["survey"], eases: [] },
  insects: { meets: ["clean"], eases: ["survey"] },
  obstruction: { meets: ["survey"], eases: [] },
  works_dust: { meets: [], eases: ["clean"] },
  ageing: { meets: ["replace"], eases: ["repair"] },
  equipment: { meets: ["repair", "replace"], eases: [] },
  wear_out: { meets: ["repair", "replace"], eases: [] },
};

/** The share of a mechanism's cause each task removes from one detector: rows by mechanism, columns by task. */
export function drawEffects(chance: Chance): Float64Array {
  const effects = new Float64Array(mechanisms.length * visitTasks.length);
  for (const [row, mechanism] of mechanisms.entries()) {
    for (const [column, task] of visitTasks.entries()) {
      const { meets, eases } = remedies[mechanism];
      const share = meets.includes(task)
        ? between(chance, 0.75, 0.95)
        : eases.includes(task)
          ? between(chance, 0.05, 0.3)
          : between(chance, 0, 0.02);
      effects[row * visitTasks.length + column] = share;
    }
  }
  return effects;
}

/** The share a task usually removes of a mechanism: the middle of what is drawn for each detector. */
export function usualEffect(mechanism: Mechanism, task: PreventiveTask): number {
  const { meets, eases } = remedies[mechanism];
  if (meets.includes(task)) return 0.85;
  return eases.includes(task) ? 0.175 : 0.01;
}

/** The task a good technician brings for a mechanism; null where none helps. */
export function usualTask(mechanism: Mechanism): PreventiveTask | null {
  return remedies[mechanism].meets[0] ?? null;
}

/** The product's word for a mechanism. */
export const causeOf: Readonly<Record<Mechanism, Cause>> = {
  background: "unknown",
  soiling: "soiling",
  thermal: "thermal movement",
  mount: "mount that will not hold",
  knocked: "knocked out of line",
  low_sun: "low sun",
  condensation: "cold or steam mornings",
  insects: "insects",
  obstruction: "seasonal stock",
  works_dust: "unknown",
  ageing: "ageing",
  equipment: "equipment",
  wear_out: "equipment",
};
