import type { DetectorHistory } from "@/lib/analyse/history";
import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { type PreventiveTask, preventiveTasks } from "@/lib/rank/effects";

/** Preventive work done at one stay; more than one task where several were done within days. */
export type PastVisit = { readonly at: number; readonly until: number; readonly tasks: readonly PreventiveTask[] };

const SAME_VISIT_DAYS = 3;

/** Past visits of a detector with preventive work, oldest first; work within three days of the last is the same visit. */
export function pastVisits({ work }: Pick<DetectorHistory, "work">): PastVisit[] {
  const visits: { at: number; until: number; tasks: PreventiveTask[] }[] = [];
  for (const { task: done, doneAt } of work) {
    const task = preventiveTasks.find((one) => one === done);
    if (task === undefined) continue;
    const last = visits.at(-1);
    if (!last || doneAt - last.until > SAME_VISIT_DAYS * DAY_MS) {
      visits.push({ at: doneAt, until: doneAt, tasks: [task] });
      continue;
    }
    last.until = doneAt;
    if (!last.tasks.includes(task)) last.tasks.push(task);
  }
  return visits;
}

/** How long after a visit a detector may still be under its effect; a longer horizon counts instead. */
const AFTERMATH_DAYS = 180;

/** Milliseconds after a visit in which a detector's record is that of a visited one. */
export function aftermathMs(horizonDays: number): number {
  return Math.max(AFTERMATH_DAYS, horizonDays) * DAY_MS;
}

const SETTLED_DAYS = 1;

/** The time a visit is judged by: from a day after it, as its own work trips the panel, over the horizon, to the next. */
export function windowAfter(
  visit: PastVisit,
  { visits, asOf, horizonDays }: { visits: readonly PastVisit[]; asOf: number; horizonDays: number },
): Span {
  const startAt = visit.until + SETTLED_DAYS * DAY_MS;
  const next = visits.find(({ at }) => at > visit.until)?.at ?? Infinity;
  return { startAt, endAt: Math.max(startAt, Math.min(startAt + horizonDays * DAY_MS, next, asOf)) };
}
