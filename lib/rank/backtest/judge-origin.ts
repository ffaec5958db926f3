import { type FleetContext, fleetContext } from "@/lib/analyse/fleet-context";
import type { FleetHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import type { EffectLine, ForecastReport, JudgedKind } from "@/lib/rank/backtest/backtest-result";
import { effectLines } from "@/lib/rank/backtest/effect-lines";
import { forecastReports } from "@/lib/rank/backtest/forecast-reports";
import { methodScores, type ScoringMethod } from "@/lib/rank/backtest/method-scores";
import { type KnownOutcome, type Realised, realisedIn } from "@/lib/rank/backtest/outcome";
import { type SimpleForecast, simpleForecasts } from "@/lib/rank/backtest/simple-forecasts";
import { rankDetectors } from "@/lib/rank/rank";
import type { AnalysisResult } from "@/lib/rank/result";

/** A forecast number of events and what came; the forecast holds for a horizon observed throughout. */
export type JudgedCount = {
  readonly mean: number;
  readonly low: number;
  readonly high: number;
  readonly variance: number;
  readonly realised: number;
  readonly simple: SimpleForecast;
};

/** One detector of one past ranking with what followed. */
export type JudgedDetector = {
  readonly detectorId: string;
  readonly scores: Readonly<Record<ScoringMethod, number>>;
  readonly faults: JudgedCount;
  readonly alarms: JudgedCount;
  /** Minor units. */
  readonly realisedCost: number;
  readonly observedDays: number;
  readonly visited: boolean;
  /** Kinds of finding that were listed. */
  readonly findings: readonly string[];
};

/** A past ranking, reduced to what a backtest asks of it. */
export type JudgedOrigin = {
  readonly asOf: number;
  readonly horizonDays: number;
  /** In the order of the ranking. */
  readonly detectors: readonly JudgedDetector[];
  /** Kinds that were tested for. */
  readonly kinds: readonly string[];
  /** How the forecast of this ranking was chosen from trials before it. */
  readonly forecastReport?: readonly ForecastReport[];
  /** What visits before it taught; empty unless asked for. */
  readonly effects: readonly EffectLine[];
};

/**
 * The ranking as of a history's moment, each detector beside what came of it.
 *
 * @param history - the fleet as known at the origin; nothing of the outcome may be in it
 * @param outcome - the fleet as known at the end, at least a horizon later
 * @param withEffects - whether to tell what visits taught by then
 */
export function judgeOrigin(
  history: FleetHistory,
  { outcome, horizonDays, withEffects = false }: { outcome: KnownOutcome; horizonDays: number; withEffects?: boolean },
): JudgedOrigin {
  const fleet = fleetContext(history, { horizonDays });
  const ranking = rankDetectors(history, { horizonDays, fleet });
  return {
    asOf: history.asOf,
    horizonDays,
    detectors: judgedDetectors(ranking, { fleet, outcome }),
    kinds: ranking.fleet.kinds.map(({ kind }) => kind),
    forecastReport: forecastReports(fleet.forecastReports),
    effects: withEffects ? effectLines(ranking.fleet.effects) : [],
  };
}

function judgedDetectors(
  { asOf, horizonDays, detectors }: AnalysisResult,
  { fleet, outcome }: { fleet: FleetContext; outcome: KnownOutcome },
): JudgedDetector[] {
  const { history } = fleet;
  const { perFaultEpisode, perUnwantedAlarm } = history.settings;
  const horizon = { startAt: asOf, endAt: asOf + horizonDays * DAY_MS };
  const simple = {
    faults: simpleForecasts(history, { kind: "faults", horizonDays }),
    alarms: simpleForecasts(history, { kind: "alarms", horizonDays }),
  };
  const placeOf = new Map(history.detectors.map(({ detector }, place) => [detector.detectorId, place]));
  return detectors.flatMap((ranked) => {
    const { detectorId } = ranked;
    const place = placeOf.get(detectorId) ?? -1;
    const then = history.detectors[place];
    const forecast = fleet.forecasts.get(detectorId);
    if (!then || !forecast) return [];
    const realised = realisedIn(outcome.get(detectorId), horizon);
    const judged = (kind: JudgedKind): JudgedCount => {
      const { mean, low, high, variance } = kind === "faults" ? forecast.faults : forecast.unwantedAlarms;
      return { mean, low, high, variance, realised: realised[kind], simple: simple[kind][place] ?? nothing };
    };
    return [
      {
        detectorId,
        scores: methodScores(ranked, then),
        faults: judged("faults"),
        alarms: judged("alarms"),
        realisedCost: costOf(realised, { perFaultEpisode, perUnwantedAlarm }),
        observedDays: realised.observedDays,
        visited: realised.visited,
        findings: ranked.findings.map(({ kind }) => kind),
      },
    ];
  });
}

const nothing: SimpleForecast = { pooledRate: 0, ownRate: 0, lastYear: 0 };

function costOf(
  { faults, alarms }: Realised,
  { perFaultEpisode, perUnwantedAlarm }: { perFaultEpisode: number; perUnwantedAlarm: number },
): number {
  return faults * perFaultEpisode + alarms * perUnwantedAlarm;
}
