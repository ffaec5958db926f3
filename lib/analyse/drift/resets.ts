import { DAY_MS } from "@/lib/kernel/units";
import type { Task } from "@/lib/records/vocabulary";
import type { Work } from "@/lib/records/work";

/** Tasks that may set the level anew, so that nothing is compared across them. */
export const resetTasks: readonly Task[] = ["realign", "clean", "replace", "repair"];

/** Work of one day (days since 1970, UTC) that may set the level anew. */
export type Reset = { readonly day: number; readonly tasks: readonly Task[] };

/** Resets before a moment, oldest first, one a day. */
export function resetsBefore(work: readonly Work[], at: number): Reset[] {
  const byDay = new Map<number, Task[]>();
  for (const { task, doneAt } of work) {
    if (doneAt >= at || !resetTasks.includes(task)) continue;
    const day = Math.floor(doneAt / DAY_MS);
    byDay.set(day, [...(byDay.get(day) ?? []), task]);
  }
  return [...byDay].map(([day, tasks]) => ({ day, tasks })).sort((a, b) => a.day - b.day);
}
