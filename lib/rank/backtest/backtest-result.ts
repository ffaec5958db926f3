import type { Estimate } from "@/lib/kernel/interval";

/** Ways of choosing detectors that are set beside each other, in the order in which they are shown. */
export const captureMethods = [
  "avoided_cost",
  "expected_cost",
  "faults_12m",
  "events_90d",
  "lowest_signal",
  "longest_since_service",
  "random",
  "perfect",
] as const;

/** One of {@link captureMethods}. */
export type CaptureMethod = (typeof captureMethods)[number];

/** Shares of the detectors at which is asked how much of the cost that followed they held. */
export const captureShares = [0.02, 0.05, 0.1, 0.2] as const;

/** Kinds of event a forecast is judged by: own fault episodes, own unwanted alarms. */
export const judgedKinds = ["faults", "alarms"] as const;

/** One of {@link judgedKinds}. */
export type JudgedKind = (typeof judgedKinds)[number];

/** Share of the cost that followed, by method; the places are those of {@link captureShares}; null when nothing followed. */
export type Held = Readonly<Record<CaptureMethod, readonly (number | null)[]>>;

/** How one method did over all months: pooled, and in its worst and best month; null when nothing followed. */
export type CapturePoint = {
  readonly share: number;
  readonly held: number | null;
  readonly lowestMonth: number | null;
  readonly highestMonth: number | null;
};

/** Capture of one method at each of {@link captureShares}. */
export type MethodCapture = { readonly method: CaptureMethod; readonly points: readonly CapturePoint[] };

/** Of so many prediction intervals so many held what came. */
export type Coverage = { readonly inside: number; readonly of: number };

/** Sums of one kind of event over a month's horizon. */
export type MonthCount = { readonly predicted: number; readonly realised: number; readonly coverage: Coverage };

/** What came of the ranking made at one origin. */
export type OriginResult = {
  /** Moment the ranking stands at, UTC midnight of the first of a month. */
  readonly asOf: number;
  readonly detectors: number;
  /** Detectors with planned work inside the horizon. */
  readonly visited: number;
  /** Minor units. */
  readonly realisedCost: number;
  readonly held: Held;
  readonly heldUnvisited: Held;
  readonly counts: Readonly<Record<JudgedKind, MonthCount>>;
};

/** A tenth of all forecasts, by what was expected; the first has the lowest. */
export type CalibrationGroup = {
  readonly group: number;
  readonly forecasts: number;
  readonly predicted: number;
  readonly realised: number;
  /** Realised over predicted with its 90 % interval; null when nothing was predicted. */
  readonly ratio: Estimate | null;
};

/** Calibration of one kind of event. */
export type Calibration = {
  readonly overall: CalibrationGroup;
  readonly groups: readonly CalibrationGroup[];
  readonly coverage: Coverage;
  /** Variance of what came, over detectors, against chance; horizons that overlap are in it. */
  readonly dispersion: number;
};

/** Mean of -ln p of what came over all forecasts of one kind: the lower, the better. */
export type LogScores = {
  readonly forecasts: number;
  readonly ours: number;
  /** The same mean without its spread, as a Poisson count: like the simple ones. */
  readonly oursAsPoisson: number;
  readonly pooledRate: number;
  readonly ownRate: number;
  readonly lastYear: number;
};

/** What followed at detectors that a kind of finding listed and at the others; an event counts in each horizon it fell in. */
export type FindingFollowed = {
  readonly kind: string;
  readonly counts: JudgedKind;
  readonly listed: FollowedCount;
  readonly others: FollowedCount;
};

/** Events over the observed days of the horizons. */
export type FollowedCount = { readonly detectors: number; readonly days: number; readonly events: number };

/** What the fleet's own visits say of a task; shares of the events that would have come. */
export type EffectLine = {
  readonly task: string;
  /** The failure it is about: 'faults', 'unwanted alarms', or a cause. */
  readonly about: string;
  readonly visits: number;
  readonly observed: number;
  readonly expected: number;
  /** Share prevented, as the ranking uses it, with a 90 % interval. */
  readonly prevented: Estimate;
  /** Share stated before any record. */
  readonly prior: number;
};

/** How the parts of the forecast did against each other in the analysis itself. */
export type ForecastReport = {
  readonly kind: string;
  readonly sentence: string;
  readonly parts: readonly { readonly name: string; readonly score: number }[];
};

/** Rankings of past months against what followed. */
export type BacktestResult = {
  readonly horizonDays: number;
  readonly monthsAsked: number;
  readonly currency: string;
  /** Moment up to which what followed is known. */
  readonly knownUntil: number;
  /** Oldest first; at least one. */
  readonly origins: readonly OriginResult[];
  readonly capture: readonly MethodCapture[];
  readonly captureUnvisited: readonly MethodCapture[];
  readonly calibration: Readonly<Record<JudgedKind, Calibration>>;
  readonly scores: Readonly<Record<JudgedKind, LogScores | null>>;
  readonly findings: readonly FindingFollowed[];
  /** Events inside at least one horizon, each counted once. */
  readonly events: Readonly<Record<JudgedKind, number>>;
  /** As of the last origin. */
  readonly effects: readonly EffectLine[];
  readonly forecastReport?: readonly ForecastReport[];
};
