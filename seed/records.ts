import type { Condition, FaultCause, Task, TaskResult, Verdict } from "@/lib/records/vocabulary";

/** Why the simulation made an event; never written to a canonical file. */
export type Because =
  | "ordinary"
  | "drift"
  | "mount"
  | "low_sun"
  | "steam"
  | "stock"
  | "insects"
  | "ageing"
  | "burst"
  | "chatter"
  | "echo"
  | "service"
  | "weekly_test"
  | "site_supply"
  | "storm"
  | "fire"
  | "disabled";

/** An event of the simulation: the columns of events.csv and why it was made. */
export type DemoEvent = {
  readonly detectorId: string;
  readonly beganAt: number;
  readonly endedAt: number | null;
  readonly condition: Condition;
  readonly cause: FaultCause | null;
  readonly verdict: Verdict | null;
  readonly because: Because;
};

/** A work record of the simulation: the columns of work.csv. */
export type DemoWork = {
  readonly detectorId: string;
  readonly doneAt: number;
  readonly task: Task;
  readonly result: TaskResult | null;
  readonly signalBeforePct: number | null;
  readonly signalAfterPct: number | null;
  readonly durationMin: number;
  readonly reactive: boolean;
  readonly told: string | null;
  readonly interim: string | null;
  readonly note: string | null;
};
