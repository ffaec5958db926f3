import type { ForecastMove, MoveGroup } from "@/lib/analyse/forecast/detector-forecast";
import { type FeatureSource, features } from "@/lib/analyse/forecast/features";
import type { PartName } from "@/lib/analyse/forecast/foretold";
import { moveSentence } from "@/lib/analyse/forecast/move-sentence";
import type { OriginRows } from "@/lib/analyse/forecast/origin-rows";
import { type CountRegression, contributions } from "@/lib/analyse/forecast/regression";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { medianOf } from "@/lib/statistics/descriptive";

const groups: readonly MoveGroup[] = ["own history", "season", "signal", "work", "site", "build"];
const MOST = 3;
const LEAST_SHARE = 0.05;
const LEAST_EVENTS = 0.01;

/** What a forecast's expectations are made of. */
export type MoveInput = {
  readonly kind: EventKind;
  /** Exponent of each part's mean in the forecast. */
  readonly exponents: ReadonlyMap<PartName, number>;
  readonly regression: CountRegression | null;
  readonly means: readonly number[];
};

/**
 * For each row the groups of facts that move its expectation most, each by what the expectation would be were that
 * group as usual in the fleet (the median of its effect) and all else as it is.
 */
export function rowMoves(rows: OriginRows, { kind, exponents, regression, means }: MoveInput): ForecastMove[][] {
  const effects = rows.sources.map((source, index) =>
    effectsOf(source, { exponents, effects: regression ? contributions(rows, index, regression) : [] }),
  );
  const usual = groups.map((_, at) => medianOf(effects.map((effect) => effect[at] ?? 0)) ?? 0);
  return rows.sources.map((source, index) => {
    const mean = means[index] ?? 0;
    const sizes = groups.map((group, at) => {
      const apart = (effects[index]?.[at] ?? 0) - (usual[at] ?? 0);
      return { group, events: mean * -Math.expm1(-apart) };
    });
    const named = sizes
      .filter(({ events }) => Math.abs(events) >= Math.max(LEAST_EVENTS, LEAST_SHARE * mean))
      .sort((a, b) => Math.abs(b.events) - Math.abs(a.events))
      .slice(0, MOST);
    return named.map(({ group, events }) => ({
      kind,
      group,
      events,
      sentence: moveSentence(source, { kind, group }),
    }));
  });
}

// The log of a mean taken apart by group: each part's own, as many times as its exponent says.
function effectsOf(
  source: FeatureSource,
  { exponents, effects }: { exponents: ReadonlyMap<PartName, number>; effects: readonly number[] },
): number[] {
  const sums = groups.map(() => 0);
  for (const [part, exponent] of exponents) {
    const own = partEffects(source, part);
    for (const [at, group] of groups.entries()) sums[at] = (sums[at] ?? 0) + exponent * (own[group] ?? 0);
  }
  const learned = exponents.get("regression") ?? 0;
  for (const [column, { group }] of features.entries()) {
    const at = groups.indexOf(group);
    sums[at] = (sums[at] ?? 0) + learned * (effects[column] ?? 0);
  }
  return sums;
}

function partEffects(
  { rates, known, baseRate, season, byCause, daysAhead }: FeatureSource,
  part: PartName,
): Partial<Record<MoveGroup, number>> {
  const fleet = known.fleetRate * known.fleetSize;
  const factor = rates.siteFactor * rates.environmentFactor;
  const within = (rate: number) => ({ "own history": Math.log(rate / (fleet * factor)), site: Math.log(factor) });
  const ofSeason = { season: Math.log(season.factor) };
  if (part === "own history") {
    return { "own history": Math.log(((rates.flat.at(-1) ?? known.fleetRate) * rates.size) / fleet), ...ofSeason };
  }
  if (part === "long history") return { ...within((rates.shrunk.at(-1) ?? known.fleetRate) * rates.size), ...ofSeason };
  if (part === "history within its site") return { ...within(baseRate), ...ofSeason };
  if (part === "regression") return within(baseRate);
  if (part === "by cause" && byCause !== null) return within(Math.max(1e-6, byCause) / daysAhead);
  return {};
}
