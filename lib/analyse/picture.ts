/** Faults per month and the two rates whose ratio is the effect. Months are `YYYY-MM` in the site's zone. */
export type RatePicture = {
  readonly type: "rate";
  readonly months: readonly { readonly month: string; readonly episodes: number; readonly exposureDays: number }[];
  /** First day of the recent window, `YYYY-MM-DD`. */
  readonly recentFrom: string;
  /** Episodes per 30 days of exposure before and inside the recent window, with their intervals. */
  readonly before: RateLevel | null;
  readonly recent: RateLevel | null;
};

/** A rate with its interval, events per 30 days of exposure; `high` is null where there is no upper limit. */
export type RateLevel = { readonly rate: number; readonly low: number; readonly high: number | null };

/** A circle of the year or of the day with the exposure-adjusted alarms. */
export type RosePicture = {
  readonly type: "rose";
  readonly circle: "year" | "day";
  /** Equal bins around the circle, the first one starting at 1 January or midnight; rate is events per 100 days observed. */
  readonly bins: readonly { readonly events: number; readonly exposureDays: number; readonly rate: number | null }[];
  /** The window of the finding as fractions of the circle, from <= to, `to` may pass 1; null when none stands out. */
  readonly window: { readonly from: number; readonly to: number } | null;
  /** Where on the circle the sun stands within the receiver's view, as fractions; empty when it never does. */
  readonly sunArcs: readonly { readonly from: number; readonly to: number }[];
  /** Each cluster of alarms as a fraction of the circle. */
  readonly marks: readonly number[];
};

/** One bar for each alignment, as long as it held. */
export type HoldPicture = {
  readonly type: "hold";
  readonly holds: readonly {
    /** Day the alignment was made, `YYYY-MM-DD`. */
    readonly from: string;
    readonly days: number;
    /** Whether it ended in a reactive realignment; a planned end or the as-of moment is not one. */
    readonly failed: boolean;
    readonly ending: string;
  }[];
  readonly fleetMedianDays: number | null;
};

/** Weekly signal with its robust line, thermal band and widening forecast. */
export type DriftPicture = {
  readonly type: "drift";
  /** What drifts: the received signal in % or the used share of compensation in %. */
  readonly quantity: "signal" | "compensation";
  readonly limitPct: number;
  /** Weekly medians; at = Instant. */
  readonly points: readonly { readonly at: number; readonly pct: number }[];
  /** Fitted line with thermal term, per segment; a new array starts at each reset. */
  readonly lines: readonly (readonly { readonly at: number; readonly pct: number }[])[];
  /** Forecast from the as-of moment on, with a 90 % band. */
  readonly forecast: readonly {
    readonly at: number;
    readonly pct: number;
    readonly low: number;
    readonly high: number;
  }[];
  /** Peak-to-peak thermal swing in percentage points; null when not estimated. */
  readonly thermalSwingPct: number | null;
};

/** The picture that shows a finding. */
export type Picture = RatePicture | RosePicture | HoldPicture | DriftPicture;
