import { normalQuantile } from "@/lib/statistics/distributions";

/** A spell under watch: from `start` (0 unless it was entered late) to `stop`, ended by an event or cut off. */
export type Spell = { readonly start?: number; readonly stop: number; readonly event: boolean };

/** Distinct event times, rising, with events and the spells at risk just before each. */
export type RiskTable = {
  readonly time: readonly number[];
  readonly events: readonly number[];
  readonly atRisk: readonly number[];
};

/** A right-continuous step function: `value[i]` holds from `time[i]` on, 0 before the first. */
export type StepFunction = { readonly time: readonly number[]; readonly value: readonly number[] };

/**
 * Kaplan-Meier curve with pointwise errors and limits, null once the curve has reached 0. Medians are null where the
 * curve or its limit stays above one half.
 */
export type SurvivalCurve = RiskTable & {
  readonly survival: readonly number[];
  readonly standardError: readonly (number | null)[];
  readonly low: readonly (number | null)[];
  readonly high: readonly (number | null)[];
  readonly median: number | null;
  readonly medianLow: number | null;
  readonly medianHigh: number | null;
};

/**
 * Risk table of spells: at each distinct event time the events and the spells with start < time <= stop.
 * Ties count events before cut-offs. No spell or no event gives empty lists. Cost: O(n log n).
 *
 * @throws RangeError for a spell that ends before it starts or has no finite ends
 */
export function riskTable(spells: readonly Spell[]): RiskTable {
  const starts = new Float64Array(spells.length);
  const stops = new Float64Array(spells.length);
  const eventTimes: number[] = [];
  for (const [i, spell] of spells.entries()) {
    starts[i] = entryTime(spell);
    stops[i] = spell.stop;
    if (spell.event) eventTimes.push(spell.stop);
  }
  starts.sort();
  stops.sort();
  eventTimes.sort((a, b) => a - b);
  const time: number[] = [];
  const events: number[] = [];
  const atRisk: number[] = [];
  let entered = 0;
  let left = 0;
  for (const at of eventTimes) {
    if (at === time.at(-1)) {
      events[events.length - 1] = (events.at(-1) ?? 0) + 1;
      continue;
    }
    while (entered < starts.length && (starts[entered] ?? 0) < at) entered++;
    while (left < stops.length && (stops[left] ?? 0) < at) left++;
    time.push(at);
    events.push(1);
    atRisk.push(entered - left);
  }
  return { time, events, atRisk };
}

/**
 * Moment after which a spell is at risk: -Infinity from the origin, so that an event at time 0 has a risk set.
 * Throws RangeError for a spell that ends before it starts, has no finite end or an event without time at risk.
 */
export function entryTime({ start = 0, stop, event }: Spell): number {
  if (!(start <= stop && Number.isFinite(start) && Number.isFinite(stop))) {
    throw new RangeError(`spell must end after it starts: ${start} to ${stop}`);
  }
  if (start <= 0) return Number.NEGATIVE_INFINITY;
  if (event && start === stop) throw new RangeError(`event without time at risk: ${start} to ${stop}`);
  return start;
}

/**
 * Kaplan-Meier estimate of S(t) with Greenwood standard errors and pointwise limits on the log-log (or log) scale.
 *
 * Assumes cut-off spells would have gone on like the others. Late entry is respected.
 *
 * @param level - two-sided coverage in (0, 1), .95 unless told
 * @param scale - "log-log" unless told
 * @returns a value per distinct event time; all empty, medians null, when there is no event
 * @throws RangeError for an impossible spell or level
 * Source: Kaplan and Meier (1958), J. Am. Statist. Assoc. 53, 457-481 (from memory).
 */
export function kaplanMeier(
  spells: readonly Spell[],
  { level = 0.95, scale = "log-log" }: { level?: number; scale?: "log-log" | "log" } = {},
): SurvivalCurve {
  if (!(level > 0 && level < 1)) throw new RangeError(`level must lie between 0 and 1: ${level}`);
  const table = riskTable(spells);
  const z = normalQuantile((1 + level) / 2);
  const curve = emptyCurve();
  let survival = 1;
  let greenwood = 0;
  for (const [i, events] of table.events.entries()) {
    const atRisk = table.atRisk[i] ?? 0;
    survival *= 1 - events / atRisk;
    greenwood += events / (atRisk * (atRisk - events));
    const relative = Math.sqrt(greenwood);
    const { low, high } = survivalLimits({ survival, relative, z, scale });
    curve.survival.push(survival);
    curve.standardError.push(survival === 0 ? null : survival * relative);
    curve.low.push(low);
    curve.high.push(high);
  }
  const medianLow = firstAtMostHalf(table.time, curve.low);
  const medianHigh = firstAtMostHalf(table.time, curve.high);
  return { ...table, ...curve, median: firstAtMostHalf(table.time, curve.survival), medianLow, medianHigh };
}

type Curve = { survival: number[] } & Record<"standardError" | "low" | "high", (number | null)[]>;
function emptyCurve(): Curve {
  return { survival: [], standardError: [], low: [], high: [] };
}

type LimitsOf = { survival: number; relative: number; z: number; scale: "log-log" | "log" };

function survivalLimits({ survival, relative, z, scale }: LimitsOf): { low: number | null; high: number | null } {
  if (survival === 0) return { low: null, high: null };
  if (scale === "log") {
    return { low: survival * Math.exp(-z * relative), high: Math.min(1, survival * Math.exp(z * relative)) };
  }
  const spread = (z * relative) / Math.abs(Math.log(survival));
  return { low: survival ** Math.exp(spread), high: survival ** Math.exp(-spread) };
}

// Where the curve runs flat at exactly one half, the middle of the flat part is the median, as is usual.
function firstAtMostHalf(time: readonly number[], curve: readonly (number | null)[]): number | null {
  const at = curve.findIndex((s) => s !== null && s < 0.5 + 1e-12);
  const here = time[at];
  const next = time[at + 1];
  if (here === undefined) return null;
  return Math.abs((curve[at] ?? 0) - 0.5) < 1e-12 && next !== undefined ? (here + next) / 2 : here;
}

/** Area under a survival curve from 0 to `until`: the mean time, restricted to that horizon. */
export function restrictedMean({ time, survival }: SurvivalCurve, until: number): number {
  let area = 0;
  let from = 0;
  let height = 1;
  for (const [i, at] of time.entries()) {
    if (at >= until) break;
    area += height * (at - from);
    from = at;
    height = survival[i] ?? 0;
  }
  return area + height * (until - from);
}

/**
 * Nelson-Aalen cumulative hazard: the sum of events / at risk over the distinct event times; empty without events.
 * Throws RangeError for an impossible spell. Source: Nelson (1972), Aalen (1978), from memory.
 */
export function nelsonAalen(spells: readonly Spell[]): StepFunction {
  const { time, events, atRisk } = riskTable(spells);
  let sum = 0;
  const value = events.map((count, i) => {
    sum += count / (atRisk[i] ?? 1);
    return sum;
  });
  return { time, value };
}

/** Value of a step function at `at`: 0 before its first step, flat after its last. Cost: O(log steps). */
export function stepAt({ time, value }: StepFunction, at: number): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((time[middle] ?? Infinity) <= at) low = middle + 1;
    else high = middle;
  }
  return low === 0 ? 0 : (value[low - 1] ?? 0);
}

/** Survival and its limits at a moment: 1 before the first event; the limits are null once the curve reached 0. */
export function survivalAt(
  { time, survival, low, high }: SurvivalCurve,
  at: number,
): { survival: number; low: number | null; high: number | null } {
  let step = -1;
  while (step + 1 < time.length && (time[step + 1] ?? Infinity) <= at) step++;
  if (step < 0) return { survival: 1, low: 1, high: 1 };
  return { survival: survival[step] ?? 1, low: low[step] ?? null, high: high[step] ?? null };
}
