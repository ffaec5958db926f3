import type { Episode } from "@/lib/analyse/episodes";
import type { DetectorHistory, FleetHistory } from "@/lib/analyse/history";
import { lengthOf, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { JudgedKind } from "@/lib/rank/backtest/backtest-result";
import { beginningIn } from "@/lib/rank/backtest/outcome";

/** Expected numbers of events over the horizon by three plain rules, all above 0. */
export type SimpleForecast = { readonly pooledRate: number; readonly ownRate: number; readonly lastYear: number };

const YEAR_DAYS = 365;
const OWN_PRIOR = 0.5;
/** Where a fleet never had an event, a rule that says 'never' would score infinitely badly at the first one. */
const RAREST = 1e-4;

/**
 * Plain forecasts of every detector, in the order of the history.
 *
 * `pooledRate`: the fleet's rate of the last 12 months. `ownRate`: the detector's own count of these months plus a half,
 * over its observed days; the fleet's where it was not observed. `lastYear`: the mean of its own count in the same weeks
 * a year before and the fleet's mean count in them, since a bare count of nought would call the next event impossible.
 */
export function simpleForecasts(
  { detectors, asOf }: FleetHistory,
  { kind, horizonDays }: { kind: JudgedKind; horizonDays: number },
): SimpleForecast[] {
  const year = { startAt: asOf - YEAR_DAYS * DAY_MS, endAt: asOf };
  const sameWeeks = { startAt: year.startAt, endAt: Math.min(asOf, year.startAt + horizonDays * DAY_MS) };
  const counts = detectors.map((history) => ({
    inYear: beginningIn(episodesOfKind(history, kind), year),
    inWeeks: beginningIn(episodesOfKind(history, kind), sameWeeks),
    days: lengthOf(within(history.exposure.observed, year)) / DAY_MS,
  }));
  const sum = (of: (count: (typeof counts)[number]) => number) => counts.reduce((total, one) => total + of(one), 0);
  const days = sum((one) => one.days);
  const pooled = days > 0 ? (sum((one) => one.inYear) / days) * horizonDays : 0;
  const meanInWeeks = counts.length > 0 ? sum((one) => one.inWeeks) / counts.length : 0;
  return counts.map((own) => ({
    pooledRate: Math.max(RAREST, pooled),
    ownRate: own.days > 0 ? ((own.inYear + OWN_PRIOR) / own.days) * horizonDays : Math.max(RAREST, pooled),
    lastYear: Math.max(RAREST, (own.inWeeks + meanInWeeks) / 2),
  }));
}

/** The episodes a kind of event counts. */
export function episodesOfKind({ faults, ownAlarms }: DetectorHistory, kind: JudgedKind): readonly Episode[] {
  return kind === "faults" ? faults : ownAlarms;
}
