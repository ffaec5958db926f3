/** What the records of a site are looked at for, in the order in which it is told. */
export const qualityKinds = [
  "last_data",
  "never_reports",
  "gaps",
  "late_files",
  "clock",
  "stuck",
  "unrecorded_work",
] as const;

/** One of {@link qualityKinds}. */
export type QualityKind = (typeof qualityKinds)[number];

/** Something in the records that limits what can be said. */
export type QualityNote = {
  readonly kind: QualityKind;
  /** Null for what concerns the whole site. */
  readonly detectorId: string | null;
  /** Whether findings may be wrong because of it, rather than only rest on less. */
  readonly serious: boolean;
  /** In a few words, for a list: "clock jumped by 60 minutes". */
  readonly short: string;
  /** What was seen, its size and since when; one or two sentences. */
  readonly sentence: string;
  readonly startAt: number | null;
  /** Null while it lasts. */
  readonly endAt: number | null;
  /** Names of the finding kinds that rest on what it spoils. */
  readonly limits: readonly string[];
};

/** The outcome of one check of one site. */
export type QualityCheck = {
  readonly kind: QualityKind;
  readonly outcome: "fine" | "found" | "too_little_data";
  /** What came of it, in a sentence; for too little data, why. */
  readonly sentence: string;
  /** The rule with its numbers. */
  readonly rule: string;
  /** What was looked at: detectors, days, files. */
  readonly looked: string;
  readonly notes: readonly QualityNote[];
};

/** The quality of the records of one site as of a moment. */
export type SiteQuality = {
  readonly siteId: string;
  readonly sentence: string;
  readonly serious: number;
  /** Always all kinds, in their order. */
  readonly checks: readonly QualityCheck[];
};

/** A check's outcome from its notes; `fine` words are used when there is none. */
export function checkOf(
  notes: readonly QualityNote[],
  { kind, fine, found, rule, looked }: Pick<QualityCheck, "kind" | "rule" | "looked"> & { fine: string; found: string },
): QualityCheck {
  const some = notes.length > 0;
  return { kind, outcome: some ? "found" : "fine", sentence: some ? found : fine, rule, looked, notes };
}

/** A check that could not be made. */
export function tooLittle(
  reason: string,
  { kind, rule, looked }: Pick<QualityCheck, "kind" | "rule" | "looked">,
): QualityCheck {
  return { kind, outcome: "too_little_data", sentence: reason, rule, looked, notes: [] };
}
