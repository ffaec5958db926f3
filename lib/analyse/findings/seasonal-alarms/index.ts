import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, tooLittleData } from "@/lib/analyse/findings/kind";
import { bestCause } from "@/lib/analyse/findings/seasonal-alarms/cause";
import {
  type AlarmBackground,
  alarmsOf,
  type NullSpread,
  nullSpread,
} from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import {
  causePatterns,
  dayPattern,
  type Pattern,
  sunPattern,
  yearPattern,
} from "@/lib/analyse/findings/seasonal-alarms/patterns";
import { pictureOf } from "@/lib/analyse/findings/seasonal-alarms/picture";
import { thinMargin } from "@/lib/analyse/findings/seasonal-alarms/thin-margin";
import {
  effectUnit,
  placeInWords,
  question,
  sentence,
  tooFew,
  tooShort,
} from "@/lib/analyse/findings/seasonal-alarms/wording";
import type { DetectorHistory } from "@/lib/analyse/history";
import { chanceInWords, percentInWords } from "@/lib/analyse/wording";
import { lengthOf } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import { cauchyCombination } from "@/lib/statistics/cauchy-combination";
import { dispersedP } from "@/lib/statistics/dispersed-p";
import { shareTest } from "@/lib/statistics/exact-rate-test";

const LEAST_EVENTS = 3;
// A window laid around the alarms' own peak says nothing of fewer.
const LEAST_FREE_EVENTS = 5;
const LEAST_DAYS = 730;

/** Whether a detector's own false alarms crowd in a part of the year or of the day, and the cause that fits. */
export const seasonalAlarms = {
  name: "seasonal_alarms",
  question,
  effectUnit,
  test: testSeasonalAlarms,
} as const satisfies FindingKind;

function testSeasonalAlarms(history: DetectorHistory, fleet: AlarmBackground): TestResult {
  const events = history.alarmClusters.length;
  if (events < LEAST_EVENTS) return tooLittleData(tooFew(events, LEAST_EVENTS));
  const days = lengthOf(history.exposure.observed) / DAY_MS;
  const spread = nullSpread(history, fleet);
  const season = days >= LEAST_DAYS;
  const patterns = patternsOf(history, spread, { fleet, season });
  const [strongest] = [...patterns].sort((a, b) => a.pValue - b.pValue);
  if (!strongest) return tooLittleData(tooShort(days, LEAST_DAYS));
  const alarms = alarmsOf(history);
  const best = bestCause(patterns, { alarms, site: history.site, spread, thin: thinMargin(history, alarms) });
  const shown = best.pattern ?? strongest;
  const combined = dispersedP(cauchyCombination(patterns.map(({ pValue }) => pValue)), fleet.alarmDispersion);
  // Alarms that come when the margin is thin are no season.
  const pValue = best.cause === "soiling" ? Math.max(combined, 0.5) : combined;
  const effect = effectOf(shown);
  return {
    outcome: "tested",
    pValue,
    effect: { ...effect, unit: effectUnit },
    sentence: sentence(shown, { ...effect, threat: best.cause }),
    threat: best.cause,
    facts: factsOf(patterns, { pValue, rival: best.rival, history }),
    picture: pictureOf(history, shown, fleet.skies),
  };
}

function patternsOf(
  history: DetectorHistory,
  spread: NullSpread,
  { fleet, season }: { fleet: AlarmBackground; season: boolean },
): Pattern[] {
  const sun = sunPattern(history, spread, fleet.skies);
  const found = sun === null ? [] : [sun];
  if (!season) return found;
  found.push(...causePatterns(history, spread));
  if (history.alarmClusters.length < LEAST_FREE_EVENTS) return found;
  const day = dayPattern(history, spread);
  return [...found, yearPattern(history, spread), ...(day === null ? [] : [day])];
}

function effectOf({ inside, total, evenShare }: Pattern) {
  const share = shareTest({ count: inside, n: total, p: evenShare, level: 0.95 });
  return { value: inside / total / evenShare, low: share.low / evenShare, high: share.high / evenShare };
}

function factsOf(
  patterns: readonly Pattern[],
  { pValue, rival, history }: { pValue: number; rival: string | null; history: DetectorHistory },
): Fact[] {
  const unknown = history.fires.filter(({ verdict }) => verdict === null || verdict === "unknown").length;
  return [
    ...patterns.map((pattern) => ({
      label: `${pattern.inside} of ${pattern.total} alarms ${placeInWords(pattern)}`,
      value: `${percentInWords(pattern.evenShare)} would on an even spread; chance ${chanceInWords(pattern.pValue)}`,
    })),
    { label: "All patterns together, chance without a cause", value: chanceInWords(pValue) },
    ...(rival === null ? [] : [{ label: "No single cause: a second one fits nearly as well", value: rival }]),
    { label: "Fire signals whose cause is not known", value: String(unknown) },
  ];
}
