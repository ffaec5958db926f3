import type { CountOutlook } from "@/lib/analyse/forecast/detector-forecast";
import { chooseForecast, type ForecastReport } from "@/lib/analyse/forecast/forecast-report";
import {
  blended,
  blendOf,
  type Foretold,
  foretold,
  type PartName,
  partNames,
  plainForetold,
} from "@/lib/analyse/forecast/foretold";
import { memoryDays } from "@/lib/analyse/forecast/known-rates";
import { type RowMoves, rowMoves } from "@/lib/analyse/forecast/moves";
import type { OriginRows } from "@/lib/analyse/forecast/origin-rows";
import { shortestOutlook } from "@/lib/analyse/forecast/outlook";
import { recalibrated } from "@/lib/analyse/forecast/recalibration";
import { type CountRegression, regressionMeans, trainRegression } from "@/lib/analyse/forecast/regression";
import { finishOf, type Trial, tryPart, usualSpread } from "@/lib/analyse/forecast/trial";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { countLogProbability, spreadVariance } from "@/lib/statistics/overdispersed-count";

/** The forecast of one kind of event for the rows of the as-of moment, and how it was chosen. */
export type KindForecast = {
  readonly outlooks: readonly CountOutlook[];
  readonly moves: readonly RowMoves[];
  readonly report: ForecastReport;
};

const USUAL: PartName = "history within its site";
const MOST_SCORED = 4;
const LEAST_TRAINING_EVENTS = 60;
const LEAST_MEMORY_EVENTS = 100;
const USUAL_MEMORY = 2;

/**
 * Forecasts one kind of event: every part is tried at moments of the past, the best one is used, its level, slope,
 * spread and interval put right by those trials.
 *
 * @param origins - rows of past origins, oldest first; may be empty
 * @param now - rows of the as-of moment
 */
export function kindForecast(
  { origins, now }: { origins: readonly OriginRows[]; now: OriginRows },
  { kind, trialDays }: { kind: EventKind; trialDays: number },
): KindForecast {
  const memories = { own: bestMemory(origins, "flat"), site: bestMemory(origins, "shrunk") };
  const events = origins.map(({ counts }) => counts.reduce((sum, count) => sum + count, 0));
  const known = origins.map((_, origin) => events.slice(0, origin).reduce((sum, count) => sum + count, 0));
  const scored = origins.flatMap((_, origin) =>
    origin > 0 && origin >= origins.length - MOST_SCORED && (known[origin] ?? 0) >= LEAST_TRAINING_EVENTS
      ? [origin]
      : [],
  );
  const forecasts = plainParts(origins, memories);
  const trained = scored.length > 0 ? trainRegression(origins, { scored }) : null;
  if (trained) {
    forecasts.set("regression", trained.foretold);
    forecasts.set(
      "blend",
      trained.foretold.flatMap(({ origin }) => blendAt(forecasts, origin) ?? []),
    );
  }
  const usual = forecasts.get(USUAL) ?? [];
  const start = finishOf(
    usual.filter(({ origin }) => origin < (scored[0] ?? origins.length)),
    usualSpread,
  ).spread;
  const trials = new Map<PartName, Trial>(
    [...forecasts].map(([part, past]) => [part, tryPart(past, { scored, start })]),
  );
  const report = chooseForecast(trials, { kind, trialDays, usual: USUAL });
  const part = report.chosen;
  const { recalibration, spread, level } = trials.get(part)?.finish ?? finishOf([], usualSpread);
  const said = foretoldNow(now, { part, memories, regression: trained?.regression ?? null });
  const { means, doubts } = recalibrated(said, recalibration);
  const outlooks = means.map((mean, index) =>
    shortestOutlook({ mean, variance: spreadVariance(mean, spread, doubts[index] ?? 0) }, { level }),
  );
  const moves = rowMoves(now, {
    kind,
    part,
    regression: trained?.regression ?? null,
    slope: recalibration.slope,
    means,
  });
  return { outlooks, moves, report };
}

type Memories = { readonly own: number; readonly site: number };

function plainParts(origins: readonly OriginRows[], memories: Memories): Map<PartName, Foretold[]> {
  const parts = new Map<PartName, Foretold[]>();
  for (const part of partNames) {
    if (part === "regression" || part === "blend") continue;
    const past = origins.flatMap((rows, origin) => plainForetold(rows, { origin, part, memories }) ?? []);
    if (past.length > 0 || origins.length === 0) parts.set(part, past);
  }
  return parts;
}

type Now = { readonly part: PartName; readonly memories: Memories; readonly regression: CountRegression | null };

function blendAt(forecasts: ReadonlyMap<PartName, readonly Foretold[]>, origin: number): Foretold | null {
  return blendOf(blended.flatMap((part) => forecasts.get(part)?.find((one) => one.origin === origin) ?? []));
}

function foretoldNow(now: OriginRows, { part, memories, regression }: Now): Foretold {
  if (part === "blend") {
    const members = blended.flatMap((member) => partNow(now, { part: member, memories, regression }) ?? []);
    return blendOf(members) ?? foretold(now, { origin: 0, means: [] });
  }
  return partNow(now, { part, memories, regression }) ?? foretold(now, { origin: 0, means: now.sources.map(() => 0) });
}

function partNow(now: OriginRows, { part, memories, regression }: Now): Foretold | null {
  if (part === "blend") return null;
  if (part !== "regression") return plainForetold(now, { origin: 0, part, memories });
  return regression === null ? null : foretold(now, { origin: 0, means: regressionMeans(now, regression) });
}

// The memory that would have foretold the past best; a year where the fleet gave fewer than 100 events.
function bestMemory(origins: readonly OriginRows[], which: "flat" | "shrunk"): number {
  const scores = memoryDays.map(() => 0);
  let events = 0;
  for (const { sources, counts, daysAhead } of origins) {
    for (const [index, { rates, season }] of sources.entries()) {
      const count = counts[index] ?? 0;
      events += count;
      for (const memory of memoryDays.keys()) {
        const mean = (rates[which][memory] ?? 0) * rates.size * season.factor * (daysAhead[index] ?? 0);
        const variance = spreadVariance(mean, usualSpread, rates.doubts[memory] ?? 1);
        scores[memory] = (scores[memory] ?? 0) + countLogProbability(count, { mean, variance });
      }
    }
  }
  return events < LEAST_MEMORY_EVENTS ? USUAL_MEMORY : scores.indexOf(Math.max(...scores));
}
