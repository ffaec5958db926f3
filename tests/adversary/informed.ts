import type { PreventiveTask } from "@/lib/rank/effects";
import { sumOf, visitCostLines } from "@/lib/rank/visit-cost";
import type { Settings } from "@/lib/settings/settings";
import { EPISODES_EACH, NEVER_JUDGED } from "@/tests/adversary/life";
import { M, mechanisms, usualEffect, visitTasks } from "@/tests/adversary/mechanism";
import type { State } from "@/tests/adversary/state";
import { costOf, type DetectorTruth, type PartExpected, type TrueVisit } from "@/tests/adversary/truth";

/** What one who is told the cause of every past episode remembers of a detector; faults first, then alarms. */
export type Past = {
  readonly note: (day: number, state: State) => void;
  readonly episode: (kind: "fault" | "alarm", mechanism: number, day: number) => void;
  readonly counts: Float64Array;
  readonly hazard: Float64Array;
  readonly sameSeason: Float64Array;
  readonly from: number;
};

const MEMORY_DAYS = 730;
const YEAR_DAYS = 365;
const SIZE = mechanisms.length;
/** Mechanisms whose state stands in the signal for all to see. */
const SEEN: readonly number[] = [M.soiling, M.thermal, M.mount, M.knocked, M.ageing];

/** An empty memory of a detector. */
export function pastOf({ bornDay, days, horizonDays }: { bornDay: number; days: number; horizonDays: number }): Past {
  const counts = new Float64Array(2 * SIZE);
  const hazard = new Float64Array(2 * SIZE);
  const sameSeason = new Float64Array(2 * SIZE);
  const from = Math.max(0, bornDay, days - MEMORY_DAYS);
  const seasonFrom = days - YEAR_DAYS;
  return {
    counts,
    hazard,
    sameSeason,
    from,
    note: (day, { fault, alarm }) => {
      if (day < from) return;
      const inSeason = day >= seasonFrom && day < seasonFrom + horizonDays;
      for (let place = 0; place < SIZE; place += 1) {
        const faults = fault[place] ?? 0;
        const alarms = alarm[place] ?? 0;
        hazard[place] = (hazard[place] ?? 0) + faults;
        hazard[SIZE + place] = (hazard[SIZE + place] ?? 0) + alarms;
        if (!inSeason) continue;
        sameSeason[place] = (sameSeason[place] ?? 0) + faults;
        sameSeason[SIZE + place] = (sameSeason[SIZE + place] ?? 0) + alarms;
      }
    },
    episode: (kind, mechanism, day) => {
      if (day < from || day >= days) return;
      const place = kind === "fault" ? mechanism : SIZE + mechanism;
      counts[place] = (counts[place] ?? 0) + 1;
    },
  };
}

/**
 * What one expects who knows the cause of every past episode, the yearly shape of each cause and the state of the
 * signal, but no rate: counts shrunk to the fleet's mean of that cause. A mark of what records can give at most.
 */
export function informedOf(
  past: Past,
  truth: { readonly mechanisms: readonly PartExpected[] },
  { fleetRates, days, horizonDays }: { fleetRates: Float64Array; days: number; horizonDays: number },
): PartExpected[] {
  const span = days - past.from;
  const expect = (place: number) => {
    const rate = fleetRates[place] ?? 0;
    if (rate === 0) return 0;
    const shape = place % SIZE === M.background ? 0.8 : 0.12;
    const shrunk = ((past.counts[place] ?? 0) + shape) / (span + shape / rate);
    const usual = (past.hazard[place] ?? 0) / span;
    const season = usual > 0 ? (past.sameSeason[place] ?? 0) / horizonDays / usual : 1;
    return shrunk * horizonDays * Math.min(5, season > 0 || span > YEAR_DAYS ? season : 1);
  };
  return mechanisms.map((mechanism, place) => {
    const seen = truth.mechanisms.find((part) => part.mechanism === mechanism);
    if (SEEN.includes(place)) return seen ?? { mechanism, faults: 0, alarms: 0 };
    return {
      mechanism,
      faults: expect(place) * EPISODES_EACH.mean,
      alarms: expect(SIZE + place) * EPISODES_EACH.mean * (1 - NEVER_JUDGED),
    };
  });
}

/** Mean number of first episodes a detector and day by mechanism over the fleet; faults first, then alarms. */
export function fleetRatesOf(pasts: readonly Past[], days: number): Float64Array {
  const rates = new Float64Array(2 * SIZE);
  const exposure = pasts.reduce((sum, past) => sum + days - past.from, 0);
  for (const { counts } of pasts) {
    for (const [place, count] of counts.entries()) rates[place] = (rates[place] ?? 0) + count / Math.max(1, exposure);
  }
  return rates;
}

/** The visit an informed planner would choose, by its own expectation and the usual effect of each task. */
export function informedVisit(truth: DetectorTruth, settings: Settings): TrueVisit {
  return visitTasks
    .map((task) => visitFor(task, truth, settings))
    .reduce((best, visit) => (visit.net > best.net ? visit : best));
}

function visitFor(task: PreventiveTask, { informed, access }: DetectorTruth, settings: Settings): TrueVisit {
  const avoided = informed.reduce((sum, part) => sum + usualEffect(part.mechanism, task) * costOf(part, settings), 0);
  const cost = sumOf(visitCostLines(task, { access, settings }));
  return { task, avoided, cost, net: avoided - cost };
}
