import type { CountOutlook, ForecastMove } from "@/lib/analyse/forecast/detector-forecast";
import { type ForecastReport, forecastReport } from "@/lib/analyse/forecast/forecast-report";
import { type Foretold, foretold, type PartName, plainForetold, plainParts } from "@/lib/analyse/forecast/foretold";
import { rowMoves } from "@/lib/analyse/forecast/moves";
import type { OriginRows } from "@/lib/analyse/forecast/origin-rows";
import { shortestOutlook } from "@/lib/analyse/forecast/outlook";
import { exponentsOf, fitPool, type PartForecasts, pooled } from "@/lib/analyse/forecast/pool";
import { recalibrated } from "@/lib/analyse/forecast/recalibration";
import { regressionMeans, trainRegression } from "@/lib/analyse/forecast/regression";
import {
  coveredRows,
  type Finish,
  finishOf,
  levelAt,
  MOST_PAST,
  type Trial,
  triedRows,
  tryPart,
  usualSpread,
} from "@/lib/analyse/forecast/trial";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { type DoubtedSpread, spreadVariance } from "@/lib/statistics/overdispersed-count";

/** The forecast of one kind of event for the rows of the as-of moment, and how it was made. */
export type KindForecast = {
  readonly outlooks: readonly CountOutlook[];
  readonly moves: readonly (readonly ForecastMove[])[];
  readonly report: ForecastReport;
};

const LEAST_TRAINING_EVENTS = 60;

/**
 * Forecasts one kind of event: every part is tried at moments of the past, their blend is fitted to those trials, and
 * its level, spread and interval are put right by them.
 *
 * @param origins - rows of past origins, oldest first; may be empty
 * @param now - rows of the as-of moment
 */
export function kindForecast(
  { origins, now }: { origins: readonly OriginRows[]; now: OriginRows },
  { kind, trialDays }: { kind: EventKind; trialDays: number },
): KindForecast {
  const scored = scoredOf(origins);
  const trained = scored.length > 0 ? trainRegression(origins, { scored }) : null;
  const past = origins.map((rows, origin) => {
    const learned = trained?.foretold.find((one) => one.origin === origin);
    return partsOf(rows, { origin, regression: learned ?? null });
  });
  const learnedNow = trained ? foretold(now, { origin: 0, means: regressionMeans(now, trained.regression) }) : null;
  const parts = partsOf(now, { origin: 0, regression: learnedNow });
  const start = finishOf(forecastsOf(past.slice(0, scored[0] ?? origins.length), SIMPLE), { start: usualSpread });
  const recent = past.slice(-MOST_PAST);
  const blend = blendOf(recent, { parts, start: start.spread });
  const trials = new Map<PartName, Trial>([["blend", tryBlend(recent, { scored, start: start.spread })]]);
  for (const part of [...plainParts, "regression"] as const) {
    const forecasts = forecastsOf(recent, part);
    if (forecasts.length > 0) trials.set(part, tryPart(forecasts, { scored, start: start.spread }));
  }
  const { means, doubts } = recalibrated(blend.foretold, blend.finish.recalibration);
  const { spread, levels, recalibration } = blend.finish;
  const outlooks = means.map((mean, index) => {
    const variance = spreadVariance(mean, spread, doubts[index] ?? 0);
    return shortestOutlook({ mean, variance }, { level: levelAt(mean, levels) });
  });
  const exponents = exponentsOf(blend.pool, new Set(parts.keys()));
  return {
    outlooks,
    moves: rowMoves(now, { kind, exponents, regression: trained?.regression ?? null, means }),
    report: forecastReport(trials, { kind, trialDays, exponents, levelDoubt: recalibration.levelDoubt }),
  };
}

const SIMPLE: PartName = "history within its site";

// Enough events before an origin to learn from, and no older than what the blend is fitted to.
function scoredOf(origins: readonly OriginRows[]): number[] {
  let events = 0;
  return origins.flatMap(({ counts }, origin) => {
    const known = events;
    events += counts.reduce((sum, count) => sum + count, 0);
    return origin > 0 && origin >= origins.length - MOST_PAST && known >= LEAST_TRAINING_EVENTS ? [origin] : [];
  });
}

function partsOf(
  rows: OriginRows,
  { origin, regression }: { origin: number; regression: Foretold | null },
): PartForecasts {
  const parts = new Map<PartName, Foretold>();
  for (const part of plainParts) {
    const plain = plainForetold(rows, { origin, part });
    if (plain) parts.set(part, plain);
  }
  if (regression) parts.set("regression", regression);
  return parts;
}

function forecastsOf(past: readonly PartForecasts[], part: PartName): Foretold[] {
  return past.flatMap((parts) => parts.get(part) ?? []);
}

type Blend = { readonly pool: ReturnType<typeof fitPool>; readonly foretold: Foretold; readonly finish: Finish };

// The pool has put the slope right already.
function blendOf(
  past: readonly PartForecasts[],
  { parts, start }: { parts: PartForecasts; start: DoubtedSpread },
): Blend {
  const pool = fitPool(past, start);
  const finish = finishOf(
    past.flatMap((own) => pooled(own, pool) ?? []),
    { start, sloped: false },
  );
  const said = pooled(parts, pool);
  if (said === null) throw new RangeError("no simple part to forecast from");
  return { pool, foretold: said, finish };
}

// At each scored origin the blend is fitted and finished on the other origins: on earlier ones alone, the first would
// never have seen the regression tried.
function tryBlend(
  past: readonly PartForecasts[],
  { scored, start }: { scored: readonly number[]; start: DoubtedSpread },
): Trial {
  let covered = 0;
  const rows = past.flatMap((parts) => {
    if (!scored.includes(originOf(parts))) return [];
    const others = past.filter((other) => other !== parts);
    const { foretold: said, finish } = blendOf(others, { parts, start });
    covered += coveredRows(said, finish);
    return triedRows(said, finish);
  });
  return { rows, coverage: rows.length > 0 ? covered / rows.length : null };
}

function originOf(parts: PartForecasts): number {
  return parts.get(SIMPLE)?.origin ?? -1;
}
