import { type PartName, partNames } from "@/lib/analyse/forecast/foretold";
import type { Trial, TriedRow } from "@/lib/analyse/forecast/trial";
import type { EventKind } from "@/lib/analyse/modes/cause";

/** One way of forecasting and how well it did; the lower the log score the better. */
export type PartScore = {
  readonly part: PartName;
  /** Mean of -ln of the probability given to what came; null where it was not tried. */
  readonly logScore: number | null;
};

/** How the forecast of one kind of event was chosen, from trials at moments of the past. */
export type ForecastReport = {
  readonly kind: EventKind;
  /** Days each trial looked ahead. */
  readonly trialDays: number;
  /** Moments of the past at which forecasts were tried. */
  readonly origins: number;
  readonly rows: number;
  readonly events: number;
  readonly parts: readonly PartScore[];
  /** Exponent of each part's mean in the blend that is used. */
  readonly exponents: ReadonlyMap<PartName, number>;
  /** The best single part, by how much the blend's score is better for a detector, and the standard error of that. */
  readonly difference: { readonly against: PartName; readonly mean: number; readonly se: number } | null;
  /** Events foretold in the trials over events that came; null without events. */
  readonly ratio: number | null;
  /**
   * Standard deviation of the log of the level that all means share. The variance of a sum of means M over detectors is
   * the sum of their variances and (levelDoubt M)².
   */
  readonly levelDoubt: number;
  /** Share of trials inside the 90 % interval; null without trials. */
  readonly coverage: number | null;
  /** Events foretold and events that came, by tenth of the trials from the highest means down; empty without trials. */
  readonly deciles: readonly { readonly said: number; readonly came: number }[];
  readonly sentence: string;
};

// Fewer events in the trials than this say nothing of which part is best.
const LEAST_EVENTS = 30;

/**
 * Tells how the blend did over the trials, against the best of its parts.
 *
 * @param trials - of the parts that could be tried, and of the blend
 */
export function forecastReport(
  trials: ReadonlyMap<PartName, Trial>,
  { kind, trialDays, exponents, levelDoubt }: Pick<ForecastReport, "kind" | "trialDays" | "exponents" | "levelDoubt">,
): ForecastReport {
  const parts = partNames.map((part) => ({ part, logScore: meanScore(trials.get(part)?.rows ?? []) }));
  const rows = trials.get("blend")?.rows ?? [];
  const events = rows.reduce((sum, { count }) => sum + count, 0);
  const single = parts.flatMap(({ part, logScore }) =>
    logScore === null || part === "blend" ? [] : [{ part, logScore }],
  );
  const against = single.toSorted((a, b) => a.logScore - b.logScore)[0]?.part ?? null;
  const difference =
    against === null || events === 0 ? null : { against, ...gain(trials.get(against)?.rows ?? [], rows) };
  const said = rows.reduce((sum, { mean }) => sum + mean, 0);
  return {
    kind,
    trialDays,
    origins: new Set(rows.map(({ origin }) => origin)).size,
    rows: rows.length,
    events,
    parts,
    exponents,
    difference,
    ratio: events > 0 ? said / events : null,
    levelDoubt,
    coverage: trials.get("blend")?.coverage ?? null,
    deciles: decilesOf(rows),
    sentence: sentenceOf({ kind, difference, events, exponents }),
  };
}

function meanScore(rows: readonly TriedRow[]): number | null {
  return rows.length === 0 ? null : rows.reduce((sum, { logScore }) => sum + logScore, 0) / rows.length;
}

function decilesOf(rows: readonly TriedRow[]): ForecastReport["deciles"] {
  if (rows.length < 10) return [];
  const highestFirst = rows.toSorted((a, b) => b.mean - a.mean);
  return Array.from({ length: 10 }, (_, tenth) => {
    const own = highestFirst.slice(
      Math.floor((tenth * rows.length) / 10),
      Math.floor(((tenth + 1) * rows.length) / 10),
    );
    return {
      said: own.reduce((sum, { mean }) => sum + mean, 0),
      came: own.reduce((sum, { count }) => sum + count, 0),
    };
  });
}

// Mean gain of a row; the standard error takes all rows of a detector as one, as they share its history.
function gain(others: readonly TriedRow[], chosen: readonly TriedRow[]): { mean: number; se: number } {
  const gains = new Map<number, { sum: number; rows: number }>();
  let [total, n] = [0, 0];
  for (const [index, row] of chosen.entries()) {
    const gained = (others[index]?.logScore ?? row.logScore) - row.logScore;
    const sum = gains.get(row.detector) ?? { sum: 0, rows: 0 };
    gains.set(row.detector, { sum: sum.sum + gained, rows: sum.rows + 1 });
    total += gained;
    n += 1;
  }
  if (n === 0) return { mean: 0, se: 0 };
  const mean = total / n;
  let squares = 0;
  for (const { sum, rows } of gains.values()) squares += (sum - rows * mean) ** 2;
  return { mean, se: Math.sqrt(squares) / n };
}

const inWords: Readonly<Record<PartName, string>> = {
  "pooled rate": "the fleet's rate for all",
  "own history": "own history",
  "history within its site": "own history within its site",
  "long history": "long history",
  "by cause": "the forecast by cause",
  regression: "the regression",
  blend: "the blend",
};

function sentenceOf({
  kind,
  difference,
  events,
  exponents,
}: Pick<ForecastReport, "kind" | "difference" | "events" | "exponents">): string {
  const of = kind === "fault" ? "Faults" : "Unwanted alarms";
  if (events < LEAST_EVENTS || difference === null) {
    return `${of}: ${events} events in the trials are too few to choose by; simple forecasts are blended evenly.`;
  }
  const { against, mean, se } = difference;
  const by = `${Math.abs(mean).toFixed(4)} (se ${se.toFixed(4)}) a detector`;
  const sure = Math.abs(mean) > 2 * se ? "" : ", which may be chance";
  const verdict =
    mean >= 0
      ? `beats its best part, ${inWords[against]}, by ${by}${sure}`
      : `stays behind its best part, ${inWords[against]}, by ${by}${sure}`;
  const regression = exponents.get("regression") ?? 0;
  return `${of}: the blend of histories, causes and regression (weight ${regression.toFixed(2)}) ${verdict}.`;
}
