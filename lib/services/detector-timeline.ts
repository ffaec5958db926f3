import type { Store } from "@/db/client";
import { readDays } from "@/db/queries/readings";
import type { ReadingDays } from "@/db/reading-days";
import type { DriftPicture } from "@/lib/analyse/picture";
import { DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";
import type { DetectorRowView } from "@/lib/services/show-detectors";
import type { RunInView } from "@/lib/services/stored-result";

/** Stretch of time before the as-of moment that a timeline shows. */
export const timelineSpans = ["1y", "2y", "all"] as const;

/** One of {@link timelineSpans}. */
export type TimelineSpan = (typeof timelineSpans)[number];

/** A day with readings; `at` is its middle. */
export type TimelineDay = {
  readonly at: number;
  /** Lowest, median and highest reading of the day, %. */
  readonly signal: { readonly low: number; readonly mid: number; readonly high: number };
  readonly compensationPct: number | null;
  /** Mean of the day. */
  readonly temperatureC: number | null;
};

/** Everything on one axis of time, cut to it. */
export type TimelineView = {
  readonly fromAt: number;
  readonly toAt: number;
  readonly asOf: number;
  readonly timeZone: string;
  readonly span: TimelineSpan;
  readonly days: readonly TimelineDay[];
  /** Oldest first. */
  readonly events: readonly Event[];
  readonly work: readonly Work[];
  /** The forecast of the drift, whether or not it is a finding; empty when there is none. */
  readonly forecast: DriftPicture["forecast"];
  readonly forecastOf: DriftPicture["quantity"] | null;
  /** Signal at which the alarm threshold is passed, %. */
  readonly alarmSignalPct: number;
};

type TimelineSource = {
  readonly detector: Detector;
  readonly site: Site;
  readonly run: RunInView | null;
  readonly row: DetectorRowView | null;
  readonly events: readonly Event[];
  readonly work: readonly Work[];
  readonly span: TimelineSpan;
  readonly now: number;
};

/** The timeline of a detector: the chosen stretch up to the analysis (up to now before the first), and its horizon. */
export async function readTimeline(store: Store, source: TimelineSource): Promise<TimelineView> {
  const { detector, site, run, row, events, work, span, now } = source;
  const asOf = run?.asOf ?? now;
  const days = daysOf(await readDays(store, { detectorId: detector.detectorId }), asOf);
  const firstAt = Math.min(
    asOf - YEAR_MS,
    ...[days[0]?.at, events[0]?.beganAt, work[0]?.doneAt].filter((at) => at !== undefined),
  );
  const fromAt = span === "all" ? firstAt : Math.max(firstAt, asOf - (span === "1y" ? 1 : 2) * YEAR_MS);
  const drift = row?.result.tests.signal_drift;
  const picture = drift?.outcome === "tested" && drift.picture.type === "drift" ? drift.picture : null;
  return {
    fromAt,
    toAt: asOf + (run?.horizonDays ?? 0) * DAY_MS,
    asOf,
    timeZone: site.timeZone,
    span,
    days: days.filter(({ at }) => at >= fromAt),
    events: events.filter((event) => (event.endedAt ?? event.beganAt) >= fromAt && event.beganAt < asOf),
    work: work.filter(({ doneAt }) => doneAt >= fromAt && doneAt < asOf),
    forecast: picture?.forecast ?? [],
    forecastOf: picture?.quantity ?? null,
    alarmSignalPct: 100 - detector.alarmThresholdPct,
  };
}

function daysOf(days: ReadingDays, until: number): TimelineDay[] {
  const known = (value: number | undefined) => (value === undefined || Number.isNaN(value) ? null : value);
  return [...days.startAt].flatMap((startAt, index) => {
    const mid = known(days.medianSignalPct[index]);
    if (mid === null || startAt >= until) return [];
    return [
      {
        at: startAt + DAY_MS / 2,
        signal: { low: known(days.minSignalPct[index]) ?? mid, mid, high: known(days.maxSignalPct[index]) ?? mid },
        compensationPct: known(days.compensationPct[index]),
        temperatureC: known(days.temperatureC[index]),
      },
    ];
  });
}
