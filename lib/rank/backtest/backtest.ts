import type { FleetHistory } from "@/lib/analyse/history";
import { unionOf } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { BacktestResult, JudgedKind, MonthCount, OriginResult } from "@/lib/rank/backtest/backtest-result";
import { calibrationOf, coverageOf, pairsOf } from "@/lib/rank/backtest/calibration";
import { findingsFollowed } from "@/lib/rank/backtest/findings-followed";
import { captureOver, costOf, heldBy } from "@/lib/rank/backtest/held";
import type { JudgedOrigin } from "@/lib/rank/backtest/judge-origin";
import { logScores } from "@/lib/rank/backtest/log-scores";
import { beginningIn } from "@/lib/rank/backtest/outcome";
import { episodesOfKind } from "@/lib/rank/backtest/simple-forecasts";

/** What a backtest is put together from besides the judged origins. */
export type BacktestFrame = Pick<BacktestResult, "monthsAsked" | "horizonDays"> & {
  readonly end: FleetHistory;
};

/**
 * The backtest from rankings that were judged one by one, oldest first.
 *
 * @param end - the fleet as known at the end
 * @throws RangeError without an origin
 */
export function backtestOf(
  origins: readonly JudgedOrigin[],
  { end, monthsAsked, horizonDays }: BacktestFrame,
): BacktestResult {
  if (origins.length === 0) throw new RangeError("a backtest needs at least one origin");
  const overlap = overlapOf(origins, horizonDays);
  const forecastReport = origins.at(-1)?.forecastReport;
  const calibration = (kind: JudgedKind) => calibrationOf(pairsOf(origins, kind), { overlap });
  return {
    horizonDays,
    monthsAsked,
    currency: end.settings.currency,
    knownUntil: end.asOf,
    origins: origins.map(originResult),
    capture: captureOver(origins.map(({ detectors }) => detectors)),
    captureUnvisited: captureOver(origins.map(unvisited)),
    calibration: { faults: calibration("faults"), alarms: calibration("alarms") },
    scores: { faults: logScores(origins, "faults"), alarms: logScores(origins, "alarms") },
    findings: findingsFollowed(origins),
    events: { faults: eventsIn(origins, { end, kind: "faults" }), alarms: eventsIn(origins, { end, kind: "alarms" }) },
    effects: origins.at(-1)?.effects ?? [],
    ...(forecastReport === undefined ? {} : { forecastReport }),
  };
}

function originResult(origin: JudgedOrigin): OriginResult {
  const { asOf, detectors } = origin;
  return {
    asOf,
    detectors: detectors.length,
    visited: detectors.filter(({ visited }) => visited).length,
    realisedCost: costOf(detectors),
    held: heldBy(detectors),
    heldUnvisited: heldBy(unvisited(origin)),
    counts: { faults: monthCount(origin, "faults"), alarms: monthCount(origin, "alarms") },
  };
}

function monthCount(origin: JudgedOrigin, kind: JudgedKind): MonthCount {
  const pairs = pairsOf([origin], kind);
  return {
    predicted: pairs.reduce((sum, { predicted }) => sum + predicted, 0),
    realised: pairs.reduce((sum, { realised }) => sum + realised, 0),
    coverage: coverageOf(pairs),
  };
}

function unvisited({ detectors }: JudgedOrigin) {
  return detectors.filter(({ visited }) => !visited);
}

// Months lie closer together than a horizon is long, so most events fall in several horizons.
function overlapOf(origins: readonly JudgedOrigin[], horizonDays: number): number {
  const spans = origins.map(({ asOf }) => ({ startAt: asOf, endAt: asOf + horizonDays * DAY_MS }));
  const covered = unionOf(spans).reduce((sum, { startAt, endAt }) => sum + endAt - startAt, 0);
  return Math.max(1, (spans.length * horizonDays * DAY_MS) / covered);
}

function eventsIn(origins: readonly JudgedOrigin[], { end, kind }: { end: FleetHistory; kind: JudgedKind }): number {
  const spans = unionOf(
    origins.map(({ asOf, horizonDays }) => ({ startAt: asOf, endAt: asOf + horizonDays * DAY_MS })),
  );
  const known = new Set(origins.flatMap(({ detectors }) => detectors.map(({ detectorId }) => detectorId)));
  return end.detectors
    .filter(({ detector }) => known.has(detector.detectorId))
    .reduce(
      (sum, history) =>
        sum + spans.reduce((inSpans, span) => inSpans + beginningIn(episodesOfKind(history, kind), span), 0),
      0,
    );
}
