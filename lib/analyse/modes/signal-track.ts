import { rowsBefore } from "@/lib/analyse/drift/recent-weeks";
import type { DetectorHistory } from "@/lib/analyse/history";
import { runningSums, sumBefore, WEEK_MS, type WeekGrid } from "@/lib/analyse/modes/week-grid";
import { dipDb, trimmedMean, type WeeklySignal, weeklySignal } from "@/lib/analyse/modes/weekly-signal";
import { attenuationDb, attenuationOfObscuration, DAY_MS, YEAR_MS } from "@/lib/kernel/units";
import type { Work } from "@/lib/records/work";

/** What the signal of a detector showed before a moment, in amounts that can be set beside other detectors'. */
export type SignalFacts = {
  /** Slow rise inside holds of attenuation, with what compensation took of it; dB a year, not below 0. */
  readonly riseDbPerYear: number;
  /** Attenuation taken off by cleans and by realignments on average, dB; null where none was measured. */
  readonly cleanGainDb: number | null;
  readonly realignGainDb: number | null;
  /** Sudden losses of alignment nobody worked at, dB a year. */
  readonly stepDbPerYear: number;
  /** Swing of a day, and of a year's temperatures, added; dB. */
  readonly swingDb: number;
  /** Years of readings inside holds. */
  readonly years: number;
};

/** Shares of the margin used, 0 to about 1.3, each null where not known. */
export type MarginUse = {
  /** By the usual attenuation, or by compensation where that is more. */
  readonly level: number | null;
  /** By the deepest dip of the week. */
  readonly dip: number | null;
  readonly compensation: number | null;
};

/** The weekly past of a detector's signal; nothing at a moment looks beyond it. */
export type SignalTrack = {
  /** In the calendar week before a moment. */
  readonly marginAt: (at: number) => MarginUse;
  /** In the seven days before the day of a moment, as far as they lie after the last reset. */
  readonly marginBefore: (at: number) => MarginUse;
  /** Share of the margin the slow rise uses up in a year; 0 where none is known. */
  readonly riseShareAt: (at: number) => number;
  readonly factsAt: (at: number) => SignalFacts | null;
  /** How much warmer (colder, below 0) than when it was last aligned, K; null where temperature is not known. */
  readonly warmerAt: (at: number) => number | null;
  /** The same for a moment after `asOf`, by the temperature a year before; null where that is not known. */
  readonly warmerAhead: (asOf: number) => (at: number) => number | null;
};

const STEP_DB = 0.3;
const YEAR_RANGE_K = 20;
const STALE_WEEKS = 8;
const LEAST_YEARS = 0.25;
const MOST_USE = 1.3;
const RESETS: readonly Work["task"][] = ["clean", "realign", "repair", "replace"];

/** The track of one detector; null without readings. */
export function signalTrack(history: DetectorHistory, grid: WeekGrid): SignalTrack | null {
  if (history.signal === null) return null;
  const weekly = weeklySignal(history.signal, grid);
  const limitDb = attenuationOfObscuration(history.detector.alarmThresholdPct);
  const resets = history.work.filter(({ task }) => RESETS.includes(task));
  const state = statesOf(weekly, { grid, resets });
  const sums = sumsOf(weekly, { grid, resets, limitDb });
  const thermal = departuresOf(weekly, { grid, resets });
  const weekOf = (at: number) => Math.max(0, Math.min(grid.weeks, Math.floor((at - grid.startAt) / WEEK_MS)));
  const level = (values: Float32Array, at: number) => {
    const value = values[weekOf(at)] ?? Number.NaN;
    return Number.isNaN(value) ? null : value;
  };
  const byWeek: (MarginUse | undefined)[] = [];
  const marginAt = (at: number) => {
    const week = weekOf(at);
    const known = byWeek[week];
    if (known) return known;
    const now = { dip: level(state.dip, at), compensation: level(state.compensation, at), limitDb };
    const made = marginUse(level(state.db, at), now);
    byWeek[week] = made;
    return made;
  };
  const factsAt = (at: number) => factsFrom(sums, { grid, at, work: history.work });
  return {
    marginAt,
    marginBefore: (at) => lastDays(history.signal, { at, resets, limitDb }) ?? marginAt(at),
    riseShareAt: (at) => Math.min(1, (factsAt(at)?.riseDbPerYear ?? 0) / limitDb),
    factsAt,
    warmerAt: (at) => level(thermal.departure, at),
    warmerAhead: (asOf) => {
      const base = level(thermal.base, asOf);
      return (at) => {
        const then = weekly.temperatureC[weekOf(at - YEAR_MS)] ?? Number.NaN;
        return base === null || at - YEAR_MS >= asOf || Number.isNaN(then) ? null : then - base;
      };
    },
  };
}

function marginUse(
  db: number | null,
  { dip, compensation, limitDb }: { dip: number | null; compensation: number | null; limitDb: number },
): MarginUse {
  const bounded = (share: number) => Math.max(0, Math.min(MOST_USE, share));
  return {
    level:
      db === null && compensation === null ? null : bounded(Math.max((db ?? 0) / limitDb, (compensation ?? 0) / 100)),
    dip: dip === null ? null : bounded(dip / limitDb),
    compensation: compensation === null ? null : bounded(compensation / 100),
  };
}

// Null where a reset lies among the days or too few have readings.
function lastDays(
  signal: DetectorHistory["signal"],
  { at, resets, limitDb }: { at: number; resets: readonly Work[]; limitDb: number },
): MarginUse | null {
  if (signal === null) return null;
  const today = Math.floor(at / DAY_MS);
  const to = rowsBefore(signal, at);
  let from = to;
  while (from > 0 && (signal.day[from - 1] ?? 0) >= today - 7) from -= 1;
  const isReset = resets.some(({ doneAt }) => doneAt < at && doneAt >= (today - 7) * DAY_MS);
  if (isReset || to - from < 3) return null;
  const known = (value: number) => (Number.isNaN(value) ? null : value);
  return marginUse(known(trimmedMean(signal.attenuationDb, { from, to })), {
    dip: dipDb(signal, { from, to }),
    compensation: known(trimmedMean(signal.compensationPct, { from, to })),
    limitDb,
  });
}

// For each week, and the one after the last: the level of the week before, or what the last reset left.
function statesOf(weekly: WeeklySignal, { grid, resets }: { grid: WeekGrid; resets: readonly Work[] }) {
  const db = new Float32Array(grid.weeks + 1).fill(Number.NaN);
  const compensation = new Float32Array(grid.weeks + 1).fill(Number.NaN);
  const dip = new Float32Array(grid.weeks + 1).fill(Number.NaN);
  let levelDip = Number.NaN;
  let next = 0;
  let heardWeek = -Infinity;
  let levelDb = Number.NaN;
  let levelCompensation = Number.NaN;
  for (let week = 0; week <= grid.weeks; week += 1) {
    const value = weekly.db[week - 1] ?? Number.NaN;
    if (!Number.isNaN(value)) {
      levelDb = value;
      levelDip = weekly.dip[week - 1] ?? Number.NaN;
      heardWeek = week;
    }
    const used = weekly.compensation[week - 1] ?? Number.NaN;
    if (!Number.isNaN(used)) levelCompensation = used;
    // A reset of the week before falls inside its median; the state is then what the reset left.
    while (next < resets.length && (resets[next]?.doneAt ?? Infinity) < grid.startAt + week * WEEK_MS) {
      const work = resets[next];
      const left = work?.signalAfterPct ?? null;
      if (left !== null && !Number.isNaN(levelDb)) {
        levelDb = Math.max(0, attenuationDb(Math.max(0.1, left)) ?? 0);
        levelDip = levelDb;
      }
      if (work && work.task !== "realign" && !Number.isNaN(levelCompensation)) levelCompensation = 0;
      next += 1;
    }
    if (week - heardWeek > STALE_WEEKS) continue;
    db[week] = levelDb;
    compensation[week] = levelCompensation;
    dip[week] = levelDip;
  }
  return { db, compensation, dip };
}

// For each week: the temperature of the week before less that of the last alignment, or of all weeks so far.
function departuresOf(weekly: WeeklySignal, { grid, resets }: { grid: WeekGrid; resets: readonly Work[] }) {
  const departure = new Float32Array(grid.weeks + 1).fill(Number.NaN);
  const bases = new Float32Array(grid.weeks + 1).fill(Number.NaN);
  const aligned = resets.filter(({ task }) => task === "realign" || task === "replace");
  let next = 0;
  let base = Number.NaN;
  let sum = 0;
  let count = 0;
  for (let week = 1; week <= grid.weeks; week += 1) {
    const temperature = weekly.temperatureC[week - 1] ?? Number.NaN;
    if (!Number.isNaN(temperature)) {
      sum += temperature;
      count += 1;
    }
    while (next < aligned.length && (aligned[next]?.doneAt ?? Infinity) < grid.startAt + week * WEEK_MS) {
      if (!Number.isNaN(temperature)) base = temperature;
      next += 1;
    }
    const from = Number.isNaN(base) && count > 0 ? sum / count : base;
    bases[week] = from;
    departure[week] = temperature - from;
  }
  return { departure, base: bases };
}

type Sums = Readonly<Record<"rise" | "held" | "step" | "daily" | "heard" | "cross" | "square", Float64Array>>;

// Weekly changes inside holds, parted into slow rise and sudden steps, and what moves with temperature.
function sumsOf(
  weekly: WeeklySignal,
  { grid, resets, limitDb }: { grid: WeekGrid; resets: readonly Work[]; limitDb: number },
): Sums {
  const compensated = (week: number) => {
    const change = (weekly.compensation[week] ?? Number.NaN) - (weekly.compensation[week - 1] ?? Number.NaN);
    return Number.isNaN(change) ? 0 : (change / 100) * limitDb;
  };
  const column = () => new Float32Array(grid.weeks);
  const parts = {
    rise: column(),
    held: column(),
    step: column(),
    daily: column(),
    heard: column(),
    cross: column(),
    square: column(),
  };
  const resetWeeks = new Set(resets.map(({ doneAt }) => Math.floor((doneAt - grid.startAt) / WEEK_MS)));
  let lastReset = -Infinity;
  for (let week = 1; week < grid.weeks; week += 1) {
    if (resetWeeks.has(week)) lastReset = week;
    const now = weekly.db[week] ?? Number.NaN;
    const swing = weekly.daily[week] ?? Number.NaN;
    if (!Number.isNaN(swing)) {
      parts.daily[week] = swing;
      parts.heard[week] = 1;
    }
    const change = now - (weekly.db[week - 1] ?? Number.NaN);
    // The week of a reset and the one after it mix two levels.
    if (Number.isNaN(change) || week - lastReset <= 1) continue;
    const isStep = Math.abs(change) > Math.max(STEP_DB, 6 * weekly.noiseDb);
    if (isStep && change > 0) parts.step[week] = change;
    if (!isStep) parts.rise[week] = change + compensated(week);
    parts.held[week] = 1;
    const warmer = (weekly.temperatureC[week] ?? Number.NaN) - (weekly.temperatureC[week - 4] ?? Number.NaN);
    const moved = now - (weekly.db[week - 4] ?? Number.NaN);
    if (week - lastReset <= 5 || Number.isNaN(warmer) || Number.isNaN(moved) || isStep) continue;
    parts.cross[week] = warmer * moved;
    parts.square[week] = warmer * warmer;
  }
  const { rise, held, step, daily, heard, cross, square } = parts;
  return {
    rise: runningSums(rise),
    held: runningSums(held),
    step: runningSums(step),
    daily: runningSums(daily),
    heard: runningSums(heard),
    cross: runningSums(cross),
    square: runningSums(square),
  };
}

function factsFrom(
  sums: Sums,
  { grid, at, work }: { grid: WeekGrid; at: number; work: readonly Work[] },
): SignalFacts | null {
  const total = (one: keyof Sums) => sumBefore(sums[one], grid, at);
  const years = (total("held") * WEEK_MS) / YEAR_MS;
  if (years < LEAST_YEARS) return null;
  const perK = Math.abs(total("cross")) / Math.max(1, total("square"));
  return {
    riseDbPerYear: Math.max(0, total("rise") / Math.max(1, years)),
    cleanGainDb: gainOf(work, { task: "clean", at }),
    realignGainDb: gainOf(work, { task: "realign", at }),
    stepDbPerYear: total("step") / Math.max(1, years),
    swingDb: total("daily") / Math.max(1, total("heard")) + perK * YEAR_RANGE_K,
    years,
  };
}

// Where one visit holds two tasks, the measured gain cannot be told apart and is left out.
function gainOf(work: readonly Work[], { task, at }: { task: Work["task"]; at: number }): number | null {
  const gains = work.flatMap((one) => {
    if (one.task !== task || one.doneAt >= at) return [];
    const { signalBeforePct: before, signalAfterPct: after } = one;
    if (before === null || after === null || before <= 0 || after <= 0) return [];
    const shared = work.some(
      (other) => other.task !== task && RESETS.includes(other.task) && Math.abs(other.doneAt - one.doneAt) < DAY_MS,
    );
    return shared ? [] : [10 * Math.log10(after / before)];
  });
  return gains.length === 0 ? null : gains.reduce((sum, gain) => sum + gain, 0) / gains.length;
}
