import type { Finding, TestResult } from "@/lib/analyse/finding";
import type { SiteRising } from "@/lib/analyse/findings/rising-faults/site-rising";
import type { Cause } from "@/lib/analyse/modes/cause";
import type { QualityNote, SiteQuality } from "@/lib/analyse/quality/quality";
import type { Estimate } from "@/lib/kernel/interval";
import type { EffectCell } from "@/lib/rank/learned-effects";
import type { Task } from "@/lib/records/vocabulary";

/** One line of a sum of money, in minor units. */
export type CostLine = { readonly label: string; readonly minor: number };

/** The visit proposed for a detector visited alone; amounts in minor units, unrounded. */
export type ProposedVisit = {
  readonly task: Task;
  readonly cost: number;
  readonly avoidedCost: Estimate;
  /** Mean avoided cost less cost. */
  readonly netBenefit: number;
  /** The likeliest cause behind the events whose cost is avoided most, and its probability; null where none is expected. */
  readonly cause: { readonly name: Cause; readonly probability: number } | null;
  /** Why this task, in a sentence. */
  readonly reason: string;
  readonly costLines: readonly CostLine[];
  readonly avoidedLines: readonly CostLine[];
};

/** One task for a detector visited alone, in minor units; the tasks of a detector stand beside each other. */
export type TaskOutcome = {
  readonly task: Task;
  readonly cost: number;
  readonly avoidedCost: number;
  readonly netBenefit: number;
  /** Net benefit where travel and reaching the height are paid by another visit that day. */
  readonly netOnSite: number;
};

/** A fact that moves a detector's net benefit, and by how many minor units against the fleet's typical detector. */
export type MovingFact = { readonly sentence: string; readonly minor: number };

/** Why a detector stands where it stands. */
export type Explanation = {
  /** The two or three facts that move its net benefit most, largest first. */
  readonly facts: readonly MovingFact[];
  /** Every preventive task, best first. */
  readonly tasks: readonly TaskOutcome[];
  /** How many times the events expected would have to be for the proposed visit to pay; null where nothing is avoided. */
  readonly timesToPay: number | null;
};

/** A detector in the ranking: everything a screen or the JSON says of it. */
export type RankedDetector = {
  readonly detectorId: string;
  readonly siteId: string;
  /** 1 is the best visit. */
  readonly rank: number;
  readonly findings: readonly Finding[];
  /** By kind: the outcome of its test, whether listed or not. */
  readonly tests: Readonly<Record<string, TestResult>>;
  readonly expected: { readonly faults: Estimate; readonly unwantedAlarms: Estimate };
  /** Expected cost of the horizon without a visit, minor units. */
  readonly expectedCost: Estimate;
  readonly visit: ProposedVisit;
  readonly explanation: Explanation;
  readonly record: DetectorRecord;
  /** What in the records limits what is said of it, serious first; absent where the records were not looked at. */
  readonly quality?: readonly QualityNote[];
};

/** What is known of a detector, counted; the strip and the tables are drawn from it. */
export type DetectorRecord = {
  readonly observedDays: number;
  /** Fault episodes of the last 12 months, as Instants. */
  readonly faultEpisodes: readonly number[];
  /** The detector's own false-alarm episodes of the last 12 months, as Instants. */
  readonly alarmEpisodes: readonly number[];
  readonly faultsAll: number;
  readonly alarmsAll: number;
  readonly latestSignalPct: number | null;
  readonly latestReadAt: number | null;
  readonly lastTestOn: string | null;
  readonly testOverdueDays: number | null;
  readonly realignments: number;
  /** What threatens it, in a few words: the threat of its strongest finding; null when nothing stands out. */
  readonly threat: string | null;
  /** What limits what can be said: 'no readings', 'site silent since ...'. */
  readonly notes: readonly string[];
};

/** Counts of one calendar month; `month` is `YYYY-MM`, cut in each site's zone. */
export type MonthFigures = {
  readonly month: string;
  readonly detectorsInService: number;
  readonly detectorDays: number;
  readonly faultEpisodes: number;
  readonly falseAlarms: number;
  readonly commonCauseEpisodes: number;
  readonly testsOverdue: number;
  /** Faults per 100 detectors and month of 30.44 days observed; null without exposure. */
  readonly faultRate: Estimate | null;
  /** False alarms per 100 detectors and year over the 12 months up to and with this one; null without exposure. */
  readonly falseAlarmRate: Estimate | null;
};

/** A false-alarm limit of the standard, met or not, with the chance of meeting it by luck. */
export type LimitCheck = {
  readonly rule: string;
  readonly met: boolean;
  readonly observed: string;
  readonly threshold: string;
  /** Chance of reaching it at the achievable rate; null when it cannot be computed. */
  readonly chance: number | null;
};

/** A common-cause episode of a site. */
export type SiteEpisode = {
  readonly beganAt: number;
  readonly endedAt: number | null;
  readonly cause: string;
  readonly detectors: number;
};

/** Everything a screen says of a site. */
export type SiteResult = {
  readonly siteId: string;
  readonly detectors: number;
  readonly detectorDays: number;
  /** The last 12 months, per 100 detectors a year; null without exposure. */
  readonly faultRate: Estimate | null;
  readonly falseAlarmRate: Estimate | null;
  /** What the false-alarm rate counts: '100 detectors of the system' or '100 beam detectors'. */
  readonly falseAlarmBase: string;
  readonly faults12m: number;
  readonly falseAlarms12m: number;
  readonly commonCause: readonly SiteEpisode[];
  /** Whether the faults of the site as a whole rise; null where it has too few events to judge. */
  readonly rising: SiteRising | null;
  readonly limits: readonly LimitCheck[];
  readonly testsOverdue: number;
  readonly expectedCost: Estimate;
  /** Sum of the positive net benefits of its detectors, each visited alone. */
  readonly worthwhileVisits: number;
  readonly netBenefit: number;
  readonly months: readonly MonthFigures[];
  readonly lastRecordAt: number | null;
  /** Share of detector-days in service in the last 12 months that were observed. */
  readonly completeness: number | null;
  /** Absent where the records were not looked at. */
  readonly quality?: SiteQuality;
};

/** Everything a screen says of the whole fleet. */
export type FleetResult = {
  readonly sites: number;
  readonly detectors: number;
  readonly months: readonly MonthFigures[];
  readonly falseAlarmsByHour: readonly { readonly hour: number; readonly alarms: number }[];
  readonly falseAlarmsByMonthOfYear: readonly {
    readonly month: number;
    readonly alarms: number;
    readonly detectorDays: number;
  }[];
  readonly expectedFaults: Estimate;
  readonly expectedUnwantedAlarms: Estimate;
  readonly expectedCost: Estimate;
  readonly worthwhile: {
    readonly visits: number;
    readonly cost: number;
    readonly avoidedCost: Estimate;
    readonly netBenefit: number;
  };
  readonly testsOverdue: number;
  /** What tasks prevent of each cause, as the visits were chosen by; only tasks and causes with past visits. */
  readonly effects: readonly EffectCell[];
  /** By kind: how many detectors could be tested, how many had too little data, how many are listed. */
  readonly kinds: readonly {
    readonly kind: string;
    readonly tested: number;
    readonly tooLittleData: number;
    readonly listed: number;
  }[];
};

/** The answer of one analysis: a ranking as of a moment, with the sites and the fleet it belongs to. */
export type AnalysisResult = {
  readonly asOf: number;
  readonly horizonDays: number;
  readonly currency: string;
  readonly fleet: FleetResult;
  readonly sites: readonly SiteResult[];
  /** Best visit first. */
  readonly detectors: readonly RankedDetector[];
};
