/** What a job does: takes files in and analyses, or only analyses. */
export type JobKind = "import" | "analyse";

/** Where a job stands; `uploading` until its files are complete, `waiting` while another job runs. */
export type JobState = "uploading" | "waiting" | "running" | "done" | "failed";

/** How far a step has come; `total` is null where the end is not known. */
export type JobProgress = { readonly text: string; readonly done: number; readonly total: number | null };

/** A refused row of a file as the import reports it. */
export type ReportedRefusal = {
  readonly line: number;
  readonly column: string | null;
  readonly value: string | null;
  readonly reason: string;
};

/** What became of one file. */
export type ReportedFile = {
  readonly file: string;
  readonly kind: string | null;
  readonly rows: number;
  readonly accepted: number;
  readonly duplicates: number;
  readonly conflicts: number;
  /** Rows kept until the site or detector they name arrives. */
  readonly waiting: number;
  /** Number of refused rows; `rejected` holds the first of them. */
  readonly refused: number;
  readonly rejected: readonly ReportedRefusal[];
  /** Why the whole file could not be read; null when it could. */
  readonly failure: string | null;
};

/** A job as a page or the address of its state shows it; moments are Instants. */
export type JobView = {
  readonly id: string;
  readonly kind: JobKind;
  readonly state: JobState;
  readonly step: JobKind | null;
  readonly progress: JobProgress | null;
  readonly files: readonly { readonly name: string; readonly bytes: number }[];
  /** Jobs that run before this one. */
  readonly before: number;
  readonly importId: string | null;
  readonly report: readonly ReportedFile[] | null;
  /** What went wrong, in words; null when nothing did. */
  readonly message: string | null;
  readonly createdAt: number;
  readonly endedAt: number | null;
};
