import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { PreventiveTask } from "@/lib/rank/effects";
import type { Event } from "@/lib/records/event";
import type { Task } from "@/lib/records/vocabulary";
import type { Work } from "@/lib/records/work";
import { between } from "@/tests/adversary/dice";
import type { Life } from "@/tests/adversary/life";
import type { HiddenSite, Span } from "@/tests/adversary/site";
import { applyTask, type State } from "@/tests/adversary/state";

/** Where one detector's work is written. */
export type WorkBook = {
  readonly chance: Chance;
  readonly span: Span;
  readonly hidden: HiddenSite;
  readonly detectorId: string;
  readonly work: Work[];
  readonly events: Event[];
};

const usualMinutes: Readonly<Record<Task, number>> = {
  clean: 20,
  realign: 60,
  filter_test: 15,
  block_test: 10,
  repair: 90,
  replace: 120,
  survey: 120,
};

/** Does a task on a detector and writes it down, with the signal before and after where it was measured. */
export function doTask(
  book: WorkBook,
  life: Life,
  {
    task,
    day,
    reactive,
    done,
    hour = 10,
  }: {
    task: PreventiveTask;
    day: number;
    reactive: boolean;
    done: number;
    hour?: number;
  },
): void {
  const { chance } = book;
  const before = signalOf(life.state);
  applyTask(life.state, life.traits, task, done);
  const measured = (task === "clean" || task === "realign") && chance() < 0.6;
  write(book, {
    task,
    day,
    hour,
    reactive,
    result: null,
    signalBeforePct: measured ? before : null,
    signalAfterPct: measured ? signalOf(life.state) : null,
  });
}

function signalOf(state: State): number {
  const loss = state.soil + state.aged + state.misaligned + state.knocked + state.thermal;
  return Math.round(1000 * 10 ** (-loss / 10)) / 10;
}

function write(
  { chance, span, hidden, detectorId, work }: WorkBook,
  one: Pick<Work, "task" | "result" | "signalBeforePct" | "signalAfterPct"> & {
    day: number;
    hour: number;
    reactive: boolean;
  },
): void {
  const { day, hour, reactive, ...rest } = one;
  const missing = hidden.habits.missing;
  work.push({
    detectorId,
    doneAt: Math.round((momentOf(span, hidden, day, hour) + between(chance, 0, 20) * MINUTE_MS) / 1000) * 1000,
    ...rest,
    durationMin: chance() < missing ? null : Math.round(usualMinutes[one.task] * between(chance, 0.7, 1.5)),
    reactive: chance() < missing ? null : reactive,
    told: null,
    interim: null,
    note: null,
  });
}

/** The instant of a local hour of a day. */
function momentOf(span: Span, { site }: HiddenSite, day: number, hour: number): number {
  return span.startAt + day * DAY_MS + ((hour - site.longitude / 15 + 24) % 24) * HOUR_MS;
}

/** A service round's work on one detector: both tests inside a test window, mostly a clean, now and then a realignment. */
export function serveRound(book: WorkBook, life: Life, day: number): void {
  const { chance, span, hidden, detectorId, events } = book;
  const hour = between(chance, 8, 15);
  const beganAt = Math.round(momentOf(span, hidden, day, hour - 0.2) / 1000) * 1000;
  const endedAt = beganAt + 130 * MINUTE_MS;
  const blank = { detectorId, cause: null, verdict: null } as const;
  events.push({ ...blank, beganAt, endedAt, condition: "test" });
  const filterAt = beganAt + 14 * MINUTE_MS;
  events.push({ ...blank, beganAt: filterAt, endedAt: filterAt + 4 * MINUTE_MS, condition: "fire" });
  const blockAt = beganAt + 25 * MINUTE_MS;
  events.push({
    ...blank,
    beganAt: blockAt,
    endedAt: blockAt + 3 * MINUTE_MS,
    condition: "fault",
    cause: "path_blocked",
  });
  const tested = { day, reactive: false, signalBeforePct: null, signalAfterPct: null } as const;
  write(book, { ...tested, task: "filter_test", hour, result: chance() < 0.98 ? "pass" : "fail" });
  write(book, { ...tested, task: "block_test", hour: hour + 0.4, result: "pass" });
  const plan = { day, reactive: false } as const;
  if (chance() < 0.88) doTask(book, life, { ...plan, task: "clean", done: between(chance, 0.8, 1), hour: hour + 0.8 });
  if (chance() < 0.1) doTask(book, life, { ...plan, task: "realign", done: between(chance, 0.7, 1), hour: hour + 1.4 });
}
