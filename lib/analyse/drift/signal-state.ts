import { type RecentWeeks, rowsBefore, weeksUntil } from "@/lib/analyse/drift/recent-weeks";
import { resetTasks } from "@/lib/analyse/drift/resets";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { attenuationDb, attenuationOfObscuration, DAY_MS } from "@/lib/kernel/units";
import { studentUpper } from "@/lib/statistics/distributions";
import { medianInPlace, selectInPlace } from "@/lib/statistics/order-statistics";

/** What the readings say of a detector at a moment of the past, by simple robust windows. */
export type SignalState = {
  /** Median attenuation of the last 14 days with readings since the last reset. */
  readonly levelDb: number;
  /** Attenuation left until the alarm threshold; below 0 past it. */
  readonly marginLeftDb: number;
  /** Rise of attenuation by day inside holds, movement with temperature taken off; above 0 is worse. */
  readonly slopeDbPerDay: number;
  /** Usual swing of a day and of the weeks of a year around the line, added. */
  readonly swingDb: number;
  /** Share of compensation used over the last 14 days; null where none is sent. */
  readonly compensationPct: number | null;
  /** Days since the last cleaning, realignment, repair or replacement; since installation where there was none. */
  readonly daysSinceReset: number;
  /** Chance that the deepest usual reading of a week reaches the limit within so many days; 0 to 1. */
  readonly chanceOfLimit: (horizonDays: number) => number;
};

const LEVEL_DAYS = 14;
const STALE_DAYS = 60;
const WEEKS = 104;
const SMALLEST_SD_DB = 0.02;
const YEAR_DAYS = 365.25;
// Pairs of neighbouring weeks say nothing of a slope but noise, and pairs that end a week apart say the same.
const LEAST_APART_DAYS = 27;
const PAIR_WEEKS = 4;
const PRIOR_SLOPE_SD = 0.002;
// Heavy tails: the line knows nothing of knocks.
const TAIL_FREEDOM = 4;

/**
 * State of a detector's signal at a moment, from readings of whole days before it and work before it only.
 *
 * @returns null without readings in the 60 days before the moment
 */
export function signalStateAt(history: DetectorHistory, at: number): SignalState | null {
  return signalStates(history, [at])[0] ?? null;
}

/**
 * State of a detector's signal at several moments, in their order; each knows nothing of what comes after it.
 *
 * Cost: one walk through the days for all moments, and O(weeks²) of at most 104 weeks, about 0.04 ms, for each.
 */
export function signalStates(history: DetectorHistory, moments: readonly number[]): (SignalState | null)[] {
  const { signal, work } = history;
  if (signal === null) return moments.map(() => null);
  const resets = work.filter(({ task }) => resetTasks.includes(task)).sort((a, b) => a.doneAt - b.doneAt);
  const resetDays = resets.map(({ doneAt }) => Math.floor(doneAt / DAY_MS));
  const weeksBefore = weeksUntil(signal, resetDays);
  const scratch = new Float64Array((WEEKS * WEEKS) / 2);
  return moments.map((at) => {
    const lastReset = resetDays[resets.findLastIndex(({ doneAt }) => doneAt < at)] ?? null;
    return stateAt(history, { at, signal, weeksBefore, lastReset, scratch });
  });
}

type Moment = {
  readonly at: number;
  readonly signal: SignalSummary;
  readonly weeksBefore: (at: number, weeks: number) => RecentWeeks;
  readonly lastReset: number | null;
  /** Room to sort in, shared by all moments: fresh memory costs more than what is done in it. */
  readonly scratch: Float64Array;
};

function stateAt(
  history: DetectorHistory,
  { at, signal, weeksBefore, lastReset, scratch }: Moment,
): SignalState | null {
  const { work, detector, installedAt } = history;
  const today = Math.floor(at / DAY_MS);
  const end = rowsBefore(signal, at);
  if (!((signal.day[end - 1] ?? -Infinity) >= today - STALE_DAYS)) return null;
  const weeks = weeksBefore(at, WEEKS);
  const perDegree = perDegreeOf(weeks, scratch);
  const flat = weeks.db.slice();
  for (let index = 0; index < flat.length; index += 1) {
    flat[index] = (flat[index] ?? 0) - perDegree * warmth(weeks, index);
  }
  const { slope, slopeSe } = slopeOf(weeks, { flat, scratch });
  const rest = restOf(weeks, { flat, slope, scratch });
  const from = Math.max(rowAfter(signal.day, end, lastReset ?? -Infinity), end - LEVEL_DAYS);
  const levelDb = medianInPlace(signal.attenuationDb.slice(from, end)) ?? levelAfterReset(work, at);
  const dailySwingDb = medianInPlace(weeks.dailySwingDb.slice()) ?? 0;
  const marginLeftDb = attenuationOfObscuration(detector.alarmThresholdPct) - levelDb;
  const known = { weeks, perDegree, slope, slopeSe, ...rest, marginLeftDb: marginLeftDb - dailySwingDb / 2 };
  return {
    levelDb,
    marginLeftDb,
    slopeDbPerDay: slope,
    swingDb: dailySwingDb + seasonalSwing(weeks, slope),
    compensationPct: latest(signal.compensationPct, Math.max(0, end - LEVEL_DAYS), end),
    daysSinceReset: Math.max(0, today - (lastReset ?? Math.floor(installedAt / DAY_MS))),
    chanceOfLimit: (horizonDays) => chanceWithin(horizonDays, known),
  };
}

function warmth({ temperatureC }: RecentWeeks, index: number): number {
  const temperature = temperatureC[index] ?? Number.NaN;
  return Number.isNaN(temperature) ? 0 : temperature;
}

// Median slope of the change of level over the change of temperature, of weeks four apart in one hold: blind to slow
// dirt and to single steps.
function perDegreeOf({ db, temperatureC, hold }: RecentWeeks, ratios: Float64Array): number {
  let count = 0;
  for (let index = 4; index < db.length; index += 1) {
    const warmer = (temperatureC[index] ?? Number.NaN) - (temperatureC[index - 4] ?? Number.NaN);
    if (hold[index] !== hold[index - 4] || !(Math.abs(warmer) >= 2)) continue;
    ratios[count++] = ((db[index] ?? 0) - (db[index - 4] ?? 0)) / warmer;
  }
  return count < 6 ? 0 : (medianInPlace(ratios.subarray(0, count)) ?? 0);
}

// Median slope over pairs of a hold, drawn to 0 as far as the pairs do not settle it.
function slopeOf(
  { day, hold }: RecentWeeks,
  { flat, scratch: slopes }: { flat: Float64Array; scratch: Float64Array },
): { slope: number; slopeSe: number } {
  let count = 0;
  for (let j = PAIR_WEEKS; j < flat.length; j += 1) {
    const own = hold[j];
    const at = day[j] ?? 0;
    const level = flat[j] ?? 0;
    for (let i = j - PAIR_WEEKS; i >= 0 && hold[i] === own; i -= PAIR_WEEKS) {
      const apart = at - (day[i] ?? 0);
      if (apart > YEAR_DAYS + 7) break;
      if (apart >= LEAST_APART_DAYS) slopes[count++] = (level - (flat[i] ?? 0)) / apart;
    }
  }
  if (count === 0) return { slope: 0, slopeSe: PRIOR_SLOPE_SD };
  const used = slopes.subarray(0, count);
  const middle = medianInPlace(used) ?? 0;
  for (let index = 0; index < count; index += 1) used[index] = Math.abs((used[index] ?? 0) - middle);
  const spread = 1.4826 * (medianInPlace(used) ?? 0);
  // Pairs are far from independent: as many count as there are weeks.
  const variance = (spread ** 2 + 1e-10) / Math.max(1, Math.sqrt(2 * PAIR_WEEKS * count) / 4);
  const weight = PRIOR_SLOPE_SD ** 2 / (PRIOR_SLOPE_SD ** 2 + variance);
  return { slope: weight * middle, slopeSe: Math.sqrt(weight * variance) };
}

// Spread of a week around the line of its hold, and of the walk of the level from week to week.
function restOf(
  { day, hold }: RecentWeeks,
  { flat, slope, scratch }: { flat: Float64Array; slope: number; scratch: Float64Array },
): { sd: number; walk: number } {
  const steps = scratch.subarray(0, flat.length);
  const leaps = scratch.subarray(flat.length, 2 * flat.length);
  let count = 0;
  let far = 0;
  for (let index = 1; index < flat.length; index += 1) {
    const change = (before: number) =>
      (flat[index] ?? 0) - (flat[before] ?? 0) - slope * ((day[index] ?? 0) - (day[before] ?? 0));
    if (hold[index] === hold[index - 1]) steps[count++] = Math.abs(change(index - 1));
    if (index >= 9 && hold[index] === hold[index - 9]) leaps[far++] = Math.abs(change(index - 9));
  }
  const near = (1.4826 * (medianInPlace(steps.subarray(0, count)) ?? 0)) ** 2;
  const wide = (1.4826 * (medianInPlace(leaps.subarray(0, far)) ?? 0)) ** 2;
  const walk = far === 0 ? 0 : Math.max(0, wide - near) / (8 * 7);
  return { sd: Math.max(SMALLEST_SD_DB, Math.sqrt(Math.max(0, near - 7 * walk) / 2)), walk };
}

function seasonalSwing({ db, day, hold }: RecentWeeks, slope: number): number {
  const levels = db.slice();
  if (levels.length < 2) return 0;
  for (let from = 0; from < db.length; ) {
    let to = from;
    for (; to < db.length && hold[to] === hold[from]; to += 1) levels[to] = (db[to] ?? 0) - slope * (day[to] ?? 0);
    const middle = medianInPlace(levels.slice(from, to)) ?? 0;
    for (; from < to; from += 1) levels[from] = (levels[from] ?? 0) - middle;
  }
  const rank = (share: number) => selectInPlace(levels, Math.round(share * (levels.length - 1)));
  return rank(0.95) - rank(0.05);
}

type Known = {
  readonly weeks: RecentWeeks;
  readonly perDegree: number;
  readonly slope: number;
  readonly slopeSe: number;
  readonly sd: number;
  readonly walk: number;
  readonly marginLeftDb: number;
};

// Week by week: the line, and what the temperature of the same week a year ago would add.
function chanceWithin(horizonDays: number, known: Known): number {
  const { weeks, perDegree, slope, slopeSe, sd, walk, marginLeftDb } = known;
  const last = weeks.day.length - 1;
  let closest = Infinity;
  for (let ahead = 0; ahead <= horizonDays; ahead += 7) {
    const thermal = perDegree === 0 ? 0 : perDegree * warmerAhead(weeks, last, ahead);
    const spread = Math.sqrt(sd * sd + (slopeSe * ahead) ** 2 + walk * ahead);
    closest = Math.min(closest, (marginLeftDb - slope * ahead - thermal) / spread);
  }
  return studentUpper(closest, TAIL_FREEDOM);
}

function warmerAhead({ day, temperatureC }: RecentWeeks, last: number, ahead: number): number {
  const wanted = (day[last] ?? 0) + ahead - YEAR_DAYS;
  const now = temperatureC[last] ?? Number.NaN;
  for (let index = last; index >= 0; index -= 1) {
    const apart = (day[index] ?? 0) - wanted;
    if (apart > 3.5) continue;
    const then = temperatureC[index] ?? Number.NaN;
    return apart < -10 || Number.isNaN(then) || Number.isNaN(now) ? 0 : then - now;
  }
  return 0;
}

function rowAfter(day: Float64Array, end: number, after: number): number {
  let row = end;
  while (row > 0 && end - row < LEVEL_DAYS && (day[row - 1] ?? 0) > after) row -= 1;
  return row;
}

function levelAfterReset(work: DetectorHistory["work"], at: number): number {
  const last = work.findLast(({ doneAt, signalAfterPct }) => doneAt < at && signalAfterPct !== null);
  const pct = last?.signalAfterPct ?? 100;
  return attenuationDb(Math.max(0.1, pct)) ?? 0;
}

function latest(values: Float64Array, from: number, to: number): number | null {
  return medianInPlace(values.slice(from, to).filter((value) => !Number.isNaN(value)));
}
