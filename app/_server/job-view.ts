import type { FoldChoice } from "@/lib/kernel/time";

/** What a job does: takes files in and analyses, only analyses, or ranks past months again. */
export type JobKind = "import" | "analyse" | "backtest";

/** How files are read: do rows replace stored ones of the same key, and what is a wall time that came twice. */
export type ImportChoices = { readonly replaces: boolean; readonly fold: FoldChoice };

/** Where a job stands; `uploading` until its files are complete, `waiting` while another job runs. */
export type JobState = "uploading" | "waiting" | "running" | "done" | "failed";

/** How far a step has come; `total` is null where the end is not known. */
export type JobProgress = { readonly text: string; readonly done: number; readonly total: number | null };

/** A job as a page or the address of its state shows it; moments are Instants. */
export type JobView = {
  readonly id: string;
  readonly kind: JobKind;
  readonly state: JobState;
  readonly step: JobKind | null;
  readonly progress: JobProgress | null;
  readonly files: readonly { readonly position: number; readonly name: string; readonly bytes: number }[];
  /** Jobs that run before this one. */
  readonly before: number;
  /** The import the files became; null before it ended, and when nothing could be taken in. */
  readonly importId: number | null;
  /** Whether an analysis (or the backtest asked for) ended; false while none did, and when nothing new came in. */
  readonly analysed: boolean;
  /** What went wrong, or why nothing was analysed yet, in words; null when there is nothing to say. */
  readonly message: string | null;
  readonly createdAt: number;
  readonly endedAt: number | null;
};
