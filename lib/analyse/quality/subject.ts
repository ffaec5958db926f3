import type { Prepared } from "@/lib/analyse/drift/design";
import type { DetectorHistory, SiteHistory } from "@/lib/analyse/history";
import type { ReadingTrace } from "@/lib/analyse/quality/reading-trace";
import type { ShiftedFile } from "@/lib/analyse/quality/shifted-values";

/** The readings one standing import brought of one site; instants. */
export type ImportSpan = {
  readonly importId: number;
  readonly importedAt: number;
  readonly firstAt: number;
  readonly lastAt: number;
  /** Readings at times where it and another import disagree. */
  readonly contested: number;
};

/** A detector of a site with what was kept of its readings; null without any. */
export type QualityMember = {
  readonly history: DetectorHistory;
  readonly trace: ReadingTrace | null;
  /** Its signal by weeks with unexplained steps; null without readings. */
  readonly prepared: Prepared | null;
};

/** What the checks of one site are made from. */
export type QualitySubject = {
  readonly site: SiteHistory;
  readonly members: readonly QualityMember[];
  /** By their first reading. */
  readonly imports: readonly ImportSpan[];
  readonly shiftedFiles: readonly ShiftedFile[];
  /** Usual time between readings of its detectors; null when none sends them. */
  readonly intervalMs: number | null;
  readonly silentAfterHours: number;
  readonly asOf: number;
};
