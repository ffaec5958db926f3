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
  readonly chosen: PartName;
  /** The best other part, by how much the chosen one's score is better for a detector, and the standard error of that. */
  readonly difference: { readonly against: PartName; readonly mean: number; readonly se: number } | null;
  /** Events foretold in the trials over events that came; null without events. */
  readonly ratio: number | null;
  /** Share of trials inside the 90 % interval; null without trials. */
  readonly coverage: number | null;
  /** Events foretold and events that came, by tenth of the trials from the highest means down; empty without trials. */
  readonly deciles: readonly { readonly said: number; readonly came: number }[];
  readonly sentence: string;
};

/** Least number of events in the trials for a choice between parts. */
const LEAST_EVENTS = 30;

/**
 * Chooses the part with the best log score over the trials, and says how sure that is.
 *
 * @param trials - of the parts that could be tried, in the order of {@link partNames}
 * @param usual - the part used where the trials hold fewer than 30 events
 */
export function chooseForecast(
  trials: ReadonlyMap<PartName, Trial>,
  { kind, trialDays, usual }: { kind: EventKind; trialDays: number; usual: PartName },
): ForecastReport {
  const scores = partNames.map((part) => ({ part, logScore: meanScore(trials.get(part)?.rows ?? []) }));
  const rows = trials.get(usual)?.rows ?? [];
  const events = rows.reduce((sum, { count }) => sum + count, 0);
  const tried = scores.flatMap(({ part, logScore }) => (logScore === null ? [] : [{ part, logScore }]));
  const inOrder = tried.toSorted((a, b) => a.logScore - b.logScore);
  const chosen = events < LEAST_EVENTS ? usual : (inOrder[0]?.part ?? usual);
  const against = inOrder.find(({ part }) => part !== chosen)?.part ?? null;
  const chosenRows = trials.get(chosen)?.rows ?? [];
  const difference =
    against === null || events === 0 ? null : { against, ...gain(trials.get(against)?.rows ?? [], chosenRows) };
  const said = chosenRows.reduce((sum, { mean }) => sum + mean, 0);
  return {
    kind,
    trialDays,
    origins: new Set(rows.map(({ origin }) => origin)).size,
    rows: rows.length,
    events,
    parts: scores,
    chosen,
    difference,
    ratio: events > 0 ? said / events : null,
    coverage: chosenRows.length > 0 ? chosenRows.filter(({ covered }) => covered).length / chosenRows.length : null,
    deciles: decilesOf(chosenRows),
    sentence: sentenceOf({ kind, chosen, difference, events }),
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
  "by cause": "the forecast by cause",
  regression: "the regression",
  blend: "the blend of regression and history",
};

function sentenceOf({
  kind,
  chosen,
  difference,
  events,
}: Pick<ForecastReport, "kind" | "chosen" | "difference" | "events">): string {
  const of = kind === "fault" ? "Faults" : "Unwanted alarms";
  if (events < LEAST_EVENTS || difference === null) {
    return `${of}: ${events} events in the trials are too few to choose by; ${inWords[chosen]} is used.`;
  }
  const { against, mean, se } = difference;
  const by = `${mean.toFixed(4)} (se ${se.toFixed(4)}) a detector`;
  if (chosen !== "regression" && chosen !== "by cause" && chosen !== "blend") {
    return `${of}: no model does better than ${inWords[chosen]}, which is used; it beats ${inWords[against]} by ${by}.`;
  }
  const sure = mean > 2 * se ? "" : "; the difference may be chance";
  return `${of}: ${inWords[chosen]} beats its best part, ${inWords[against]}, by ${by}${sure}.`;
}
