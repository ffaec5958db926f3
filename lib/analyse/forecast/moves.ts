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
  readonly part: PartName;
  readonly regression: CountRegression | null;
  /** Exponent that recalibration puts on the rate. */
  readonly slope: number;
  readonly means: readonly number[];
};

/** Moves of one row: those worth naming, largest first, and what its signal adds or takes, in events. */
export type RowMoves = { readonly moves: readonly ForecastMove[]; readonly signalEvents: number };

/**
 * For each row the groups of facts that move its expectation most, each by what the expectation would be were that
 * group as usual in the fleet (the median of its effect) and all else as it is.
 */
export function rowMoves(rows: OriginRows, { kind, part, regression, slope, means }: MoveInput): RowMoves[] {
  const effects = rows.sources.map((source, index) =>
    effectsOf(source, { part, effects: regression ? contributions(rows, index, regression) : [] }),
  );
  const usual = groups.map((_, at) => medianOf(effects.map((effect) => effect[at] ?? 0)) ?? 0);
  return rows.sources.map((source, index) => {
    const mean = means[index] ?? 0;
    const sizes = groups.map((group, at) => {
      const apart = slope * ((effects[index]?.[at] ?? 0) - (usual[at] ?? 0));
      return { group, events: mean * -Math.expm1(-apart) };
    });
    const named = sizes
      .filter(({ events }) => Math.abs(events) >= Math.max(LEAST_EVENTS, LEAST_SHARE * mean))
      .sort((a, b) => Math.abs(b.events) - Math.abs(a.events))
      .slice(0, MOST);
    return {
      moves: named.map(({ group, events }) => ({
        kind,
        group,
        events,
        sentence: moveSentence(source, { kind, group }),
      })),
      signalEvents: sizes.find(({ group }) => group === "signal")?.events ?? 0,
    };
  });
}

// The log of a mean taken apart by group.
function effectsOf(
  { rates, known, baseRate, season, byCause, daysAhead }: FeatureSource,
  { part, effects }: { part: PartName; effects: readonly number[] },
): number[] {
  if (part === "pooled rate") return groups.map(() => 0);
  const members = part === "blend" ? (byCause === null ? 2 : 3) : 1;
  const learned = part === "regression" || part === "blend" ? 1 / members : 0;
  const factor = part === "own history" ? 1 : rates.siteFactor * rates.environmentFactor;
  const causes = byCause === null ? 0 : Math.log(Math.max(1e-6, byCause) / (baseRate * daysAhead));
  const ofCauses = part === "by cause" ? 1 : part === "blend" ? 1 / members : 0;
  const base: Partial<Record<MoveGroup, number>> = {
    "own history": Math.log(baseRate / (known.fleetRate * known.fleetSize * factor)) + ofCauses * causes,
    site: Math.log(factor),
    season: part === "regression" || part === "by cause" ? 0 : Math.log(season.factor) / members,
  };
  return groups.map((group) =>
    features.reduce(
      (sum, feature, column) => (feature.group === group ? sum + learned * (effects[column] ?? 0) : sum),
      base[group] ?? 0,
    ),
  );
}
