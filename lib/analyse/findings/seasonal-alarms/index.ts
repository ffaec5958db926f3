import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, tooLittleData } from "@/lib/analyse/findings/kind";
import { causeOf } from "@/lib/analyse/findings/seasonal-alarms/cause";
import {
  dayPattern,
  exposureOnYear,
  type Pattern,
  sunPattern,
  yearFractions,
  yearPatterns,
} from "@/lib/analyse/findings/seasonal-alarms/patterns";
import {
  effectUnit,
  placeInWords,
  question,
  sentence,
  tooFew,
  tooShort,
} from "@/lib/analyse/findings/seasonal-alarms/wording";
import type { FleetContext } from "@/lib/analyse/fleet-context";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { RosePicture } from "@/lib/analyse/picture";
import { chanceInWords, percentInWords } from "@/lib/analyse/wording";
import { lengthOf } from "@/lib/kernel/interval";
import { hourOfDay } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { cauchyCombination } from "@/lib/statistics/cauchy-combination";
import { shareTest } from "@/lib/statistics/exact-rate-test";

const LEAST_EVENTS = 6;
const LEAST_EVENTS_FOR_SUN = 3;
const LEAST_DAYS = 730;

/** Whether a detector's own false alarms crowd in a part of the year or of the day, and the cause that fits. */
export const seasonalAlarms = {
  name: "seasonal_alarms",
  question,
  effectUnit,
  test: testSeasonalAlarms,
} as const satisfies FindingKind;

function testSeasonalAlarms(history: DetectorHistory, fleet: FleetContext): TestResult {
  const events = history.alarmClusters.length;
  if (events < LEAST_EVENTS_FOR_SUN) return tooLittleData(tooFew(events, LEAST_EVENTS));
  const days = lengthOf(history.exposure.observed) / DAY_MS;
  const patterns = patternsOf(history, fleet, { season: events >= LEAST_EVENTS && days >= LEAST_DAYS });
  const [strongest] = [...patterns].sort((a, b) => a.pValue - b.pValue);
  if (!strongest)
    return tooLittleData(events < LEAST_EVENTS ? tooFew(events, LEAST_EVENTS) : tooShort(days, LEAST_DAYS));
  const { inside, total, evenShare } = strongest;
  const share = shareTest({ count: inside, n: total, p: evenShare, level: 0.95 });
  const effect = {
    value: inside / total / evenShare,
    low: share.low / evenShare,
    high: share.high / evenShare,
  };
  const pValue = cauchyCombination(patterns.map((pattern) => pattern.pValue));
  const threat = causeOf(history, patterns);
  return {
    outcome: "tested",
    pValue,
    effect: { ...effect, unit: effectUnit },
    sentence: sentence(strongest, { ...effect, threat }),
    threat,
    facts: factsOf(patterns, { pValue, history }),
    picture: pictureOf(history, strongest, fleet),
  };
}

function patternsOf(history: DetectorHistory, fleet: FleetContext, { season }: { season: boolean }): Pattern[] {
  const sun = sunPattern(history, fleet);
  if (!season) return sun === null ? [] : [sun];
  const day = dayPattern(history, fleet);
  return [...yearPatterns(history, fleet), ...(day === null ? [] : [day]), ...(sun === null ? [] : [sun])];
}

function factsOf(
  patterns: readonly Pattern[],
  { pValue, history }: { pValue: number; history: DetectorHistory },
): Fact[] {
  const unknown = history.fires.filter(({ verdict }) => verdict === null || verdict === "unknown").length;
  return [
    ...patterns.map((pattern) => ({
      label: `${pattern.inside} of ${pattern.total} alarms ${placeInWords(pattern)}`,
      value: `${percentInWords(pattern.evenShare)} would on an even spread; chance ${chanceInWords(pattern.pValue)}`,
    })),
    { label: "All patterns together, chance without a cause", value: chanceInWords(pValue) },
    { label: "Fire signals whose cause is not known", value: String(unknown) },
  ];
}

const BINS = 24;

function pictureOf(history: DetectorHistory, { kind, windows }: Pattern, fleet: FleetContext): RosePicture {
  const { detector, site, exposure } = history;
  const onDay = kind === "day";
  const marks = onDay
    ? history.alarmClusters.map(({ beganAt }) => hourOfDay(beganAt, site.timeZone) / 24)
    : yearFractions(history);
  const days = onDay
    ? new Array<number>(BINS).fill(lengthOf(exposure.observed) / DAY_MS)
    : exposureOnYear(history, BINS);
  const arcs = fleet.sun.viewOf({ detector, site, exposure: exposure.observed }).arcs;
  return {
    type: "rose",
    circle: onDay ? "day" : "year",
    bins: days.map((exposureDays, bin) => {
      const events = marks.filter((mark) => Math.min(BINS - 1, Math.floor(mark * BINS)) === bin).length;
      return { events, exposureDays, rate: exposureDays > 0 ? (100 * events) / exposureDays : null };
    }),
    window: windows[0] ?? null,
    sunArcs: onDay ? [] : arcs,
    marks,
  };
}
