import { seededChance } from "@/lib/kernel/chance";
import type { PreventiveTask } from "@/lib/rank/effects";
import { drawWeather, type Weather } from "@/tests/adversary/climate";
import { type CallOut, EPISODES_EACH, liveDay, NEVER_JUDGED } from "@/tests/adversary/life";
import { mechanisms, visitTasks } from "@/tests/adversary/mechanism";
import type { HiddenSite, Span } from "@/tests/adversary/site";
import { applyTask, copyOf, type State, type Today } from "@/tests/adversary/state";
import type { Traits } from "@/tests/adversary/traits";
import type { DetectorTruth, Expected } from "@/tests/adversary/truth";

/** A detector as it stood at the as-of moment. */
export type Snapshot = { readonly state: State; readonly traits: Traits; readonly callOut: CallOut | null };

/** Days that may come at a site after the as-of moment, one for each path. */
export function futureDays(
  hidden: HiddenSite,
  { span, paths, seed }: { span: Span; paths: number; seed: string },
): (readonly Today[])[] {
  const { climate, weather, site } = hidden;
  const { days, horizonDays, yearDayOf } = span;
  const season = Math.cos((2 * Math.PI * (yearDayOf(days - 1) - climate.warmestDay)) / 365.25);
  const departure = (weather.temperatureC[days - 1] ?? climate.meanC) - climate.meanC - climate.swingC * season;
  return Array.from({ length: paths }, (_, path) => {
    const future = drawWeather(climate, {
      from: days,
      until: days + horizonDays,
      yearDayOf,
      chance: seededChance(`${seed} weather ${site.siteId} ${path}`),
      departure,
    });
    return daysOf(future, { from: days, hidden, span });
  });
}

/** Growth and season of plain rates that the whole fleet shares. */
export function fleetFactor(day: number, { yearDay, south }: { yearDay: number; south: boolean }): number {
  const turn = south ? 183 : 0;
  return 0.9 * (1 + (0.07 * day) / 365.25) * (1 + 0.22 * Math.cos((2 * Math.PI * (yearDay - 15 - turn)) / 365.25));
}

type World = {
  readonly faults: Float64Array;
  readonly alarms: Float64Array;
  readonly spread: { f: number; a: number };
};

/**
 * Expected episodes of a detector without a visit and with each task done at the as-of moment: hazards are summed along
 * paths of weather, spells, movement and call-outs, the same paths for every task, and averaged.
 */
export function expectedOf(
  snapshot: Snapshot,
  around: { hidden: HiddenSite; futures: readonly (readonly Today[])[]; seed: string; onlyWithout: boolean },
): Pick<DetectorTruth, "mechanisms" | "without" | "variance" | "withTask"> {
  const none = worldOf(snapshot, { ...around, task: null });
  const without = expectedIn(none);
  const withTask = (task: PreventiveTask) => {
    if (around.onlyWithout) return without;
    return nearlyUnmoved(none, { task, traits: snapshot.traits }) ?? expectedIn(worldOf(snapshot, { ...around, task }));
  };
  return {
    mechanisms: mechanisms
      .map((mechanism, place) => ({
        mechanism,
        faults: none.faults[place] ?? 0,
        alarms: none.alarms[place] ?? 0,
      }))
      .filter(({ faults, alarms }) => faults + alarms > 0)
      .sort((a, b) => b.faults + 5 * b.alarms - a.faults - 5 * a.alarms),
    without,
    variance: { faults: none.spread.f, alarms: none.spread.a },
    withTask: {
      clean: withTask("clean"),
      realign: withTask("realign"),
      survey: withTask("survey"),
      repair: withTask("repair"),
      replace: withTask("replace"),
    },
  };
}

const SLIGHT = 0.02;

// Where a task hardly touches anything present, its small effect is taken off without living every path again.
function nearlyUnmoved(none: World, { task, traits }: { task: PreventiveTask; traits: Traits }): Expected | null {
  const column = visitTasks.indexOf(task);
  const sum = { faults: 0, alarms: 0 };
  for (let place = 0; place < mechanisms.length; place += 1) {
    const faults = none.faults[place] ?? 0;
    const alarms = none.alarms[place] ?? 0;
    if (faults + alarms === 0) continue;
    const share = traits.effects[place * visitTasks.length + column] ?? 0;
    if (share > SLIGHT) return null;
    sum.faults += faults * (1 - share);
    sum.alarms += alarms * (1 - share);
  }
  return sum;
}

function expectedIn({ faults, alarms }: World): Expected {
  return { faults: faults.reduce((sum, one) => sum + one, 0), alarms: alarms.reduce((sum, one) => sum + one, 0) };
}

const JUDGED = 1 - NEVER_JUDGED;

function worldOf(
  { state, traits, callOut }: Snapshot,
  {
    hidden,
    futures,
    seed,
    task,
  }: {
    hidden: HiddenSite;
    futures: readonly (readonly Today[])[];
    seed: string;
    task: PreventiveTask | null;
  },
): World {
  const faults = new Float64Array(mechanisms.length);
  const alarms = new Float64Array(mechanisms.length);
  const sums = { f: 0, ff: 0, a: 0, aa: 0 };
  const first = futures[0]?.[0];
  if (!first) throw new RangeError("no future to average over");
  for (const [path, days] of futures.entries()) {
    const chance = seededChance(`${seed} ${path}`);
    const life = { state: copyOf(state), traits, callOut: callOut === null ? null : { ...callOut } };
    if (task !== null) applyTask(life.state, traits, task);
    const setting = { today: first, climate: hidden.climate, chance };
    let ofFaults = 0;
    let ofAlarms = 0;
    for (const today of days) {
      setting.today = today;
      liveDay(life, setting, null);
      for (let place = 0; place < faults.length; place += 1) {
        faults[place] = (faults[place] ?? 0) + (life.state.fault[place] ?? 0);
        alarms[place] = (alarms[place] ?? 0) + (life.state.alarm[place] ?? 0);
      }
      ofFaults += life.state.faultTotal;
      ofAlarms += life.state.alarmTotal;
    }
    sums.f += ofFaults;
    sums.ff += ofFaults ** 2;
    sums.a += ofAlarms;
    sums.aa += ofAlarms ** 2;
  }
  const paths = Math.max(1, futures.length);
  for (let place = 0; place < faults.length; place += 1) {
    faults[place] = ((faults[place] ?? 0) * EPISODES_EACH.mean) / paths;
    alarms[place] = ((alarms[place] ?? 0) * EPISODES_EACH.mean * JUDGED) / paths;
  }
  const spread = {
    f: countVariance(sums.f / paths, sums.ff / paths),
    a: JUDGED * countVariance(sums.a / paths, sums.aa / paths),
  };
  return { faults, alarms, spread };
}

// First episodes are Poisson around a path's sum, each brings echo and burst with it, and paths differ.
function countVariance(mean: number, square: number): number {
  return mean * EPISODES_EACH.square + EPISODES_EACH.mean ** 2 * Math.max(0, square - mean ** 2);
}

/** The days around a site's detectors under a weather that begins on day `from`. */
export function daysOf(
  { temperatureC, clear, damp }: Weather,
  { from, hidden, span }: { from: number; hidden: HiddenSite; span: Span },
): Today[] {
  return Array.from(temperatureC, (celsius, index) => {
    const day = from + index;
    const yearDay = span.yearDayOf(day);
    return {
      day,
      yearDay,
      temperatureC: celsius,
      clear: clear[index] === 1,
      damp: damp[index] ?? 0,
      fleet: fleetFactor(day, { yearDay, south: hidden.climate.south }),
    };
  });
}
