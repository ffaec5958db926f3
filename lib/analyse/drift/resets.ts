import { DAY_MS } from "@/lib/kernel/units";
import type { Task } from "@/lib/records/vocabulary";
import type { Work } from "@/lib/records/work";

/** Tasks that may set the level anew, so that nothing is compared across them. */
export const resetTasks: readonly Task[] = ["realign", "clean", "replace", "repair"];

/** Days since 1970 (UTC) of the work before a moment that sets the level anew, rising; each day once. */
export function resetDaysBefore(work: readonly Work[], at: number): number[] {
  const days: number[] = [];
  for (const { task, doneAt } of work) {
    if (doneAt >= at || !resetTasks.includes(task)) continue;
    const day = Math.floor(doneAt / DAY_MS);
    if (days.at(-1) !== day) days.push(day);
  }
  return days.sort((a, b) => a - b);
}
