import { backgroundHours, statedHours, timedCauses } from "@/lib/analyse/modes/background-hours";
import { type CausePriors, type WeighedSets, weighCauseSets } from "@/lib/analyse/modes/cause-sets";
import type { KindModel } from "@/lib/analyse/modes/kind-model";
import type { ModeUnit } from "@/lib/analyse/modes/mode-units";
import { firstWords, type WordTable, wordsFrom } from "@/lib/analyse/modes/word-table";

/** What a fit gives for each detector: rates and shares by column (the causes in order, and last the own window). */
export type FittedModes = { readonly units: readonly WeighedSets[] };

const ROUNDS = 2;
/** Affected detectors have several times the events of others, so a cause of so many events affects so fewer detectors. */
const TIMES_AS_MANY = 2.5;
/** Spread of a cause's rate over the detectors it acts in: most have little of it. */
const PRESENT_SHAPE = 0.7;
const LEAST_RATE = 0.5 / 365.25;
const OWN_WINDOW_SHARE = 0.04;
// What is stated counts like so large a part of the fleet as to how common a cause is, and like so many events as to its
// rate: causes are too like each other for a fleet to settle both.
const STATED_SHARE = 1;
const STATED_EVENTS = 10;
// Plain bad detectors exist: between machines and premises of public records the shape is about 2 and less.
const BACKGROUND_SHAPES = { least: 0.4, most: 1.5 };

/**
 * Causes of a fleet's events: how common each is, its rate where it acts and the words recorded for it, re-estimated
 * over a few rounds from all detectors weighed over their sets of causes.
 *
 * Cost: O(rounds x causes x events). The same fleet gives the same answer.
 *
 * Source: empirical Bayes for gamma-Poisson rates as in docs/methods/failure-modes.md; Dirichlet shrinkage of words.
 */
export function fitModes(units: readonly ModeUnit[], { model }: { model: KindModel }): FittedModes {
  const columns = model.causes.length + 1;
  const stated = statedOf(units, { model, columns });
  let state = stated;
  let words = firstWords(model, columns);
  let hours = statedHours(model.kind);
  let weighed = weighAll(units, { state, words, hours, model });
  for (let round = 1; round < ROUNDS; round += 1) {
    const shares = weighed.map((one) => one.shares);
    words = wordsFrom(units, { shares, model, columns });
    hours = backgroundHours(units, { shares, columns, kind: model.kind });
    state = refitted(units, { weighed, state, stated });
    weighed = weighAll(units, { state, words, hours, model });
  }
  return { units: weighed };
}

/** By column: odds of a cause in an ordinary detector, mean rate where it acts; the background's spread. */
type State = {
  readonly odds: Float64Array;
  readonly means: Float64Array;
  readonly backgroundShape: number;
};

function statedOf(units: readonly ModeUnit[], { model, columns }: { model: KindModel; columns: number }): State {
  let events = 0;
  let days = 0;
  for (const { weights, exposure } of units) {
    for (const weight of weights) events += weight;
    days += exposure[0] ?? 0;
  }
  const mean = days > 0 ? Math.max(events, 0.5) / days : LEAST_RATE;
  const shares = [...model.shares, OWN_WINDOW_SHARE];
  return {
    odds: Float64Array.from(shares, (share) => share / TIMES_AS_MANY / (1 - share / TIMES_AS_MANY)),
    means: Float64Array.from({ length: columns }, (_, column) =>
      column === 0 ? mean * (model.shares[0] ?? 1) : Math.max(LEAST_RATE, TIMES_AS_MANY * mean),
    ),
    backgroundShape: 1,
  };
}

type Weighing = {
  readonly state: State;
  readonly words: WordTable;
  readonly hours: readonly number[];
  readonly model: KindModel;
};

function weighAll(units: readonly ModeUnit[], { state, words, hours, model }: Weighing): WeighedSets[] {
  const rates: CausePriors["rates"] = Array.from(state.means, (mean, column) => {
    const shape = column === 0 ? state.backgroundShape : PRESENT_SHAPE;
    return { shape, rate: shape / Math.max(mean, 1e-9) };
  });
  const columns = model.causes.length + 1;
  const untimed = [...model.causes.map((cause) => !timedCauses.has(cause)), false];
  return units.map(({ events, fits, weights, exposure, favour }) => {
    const intensities = fits.slice();
    for (const [row, { word, hour }] of events.entries()) {
      for (let column = 0; column < columns; column += 1) {
        const at = row * columns + column;
        const byHour = untimed[column] ? (hours[hour] ?? 1) : 1;
        intensities[at] = (intensities[at] ?? 0) * byHour * (word < 0 ? 1 : words.of(column, word));
      }
    }
    return weighCauseSets(
      {
        intensities,
        columns,
        weights,
        exposures: exposure,
      },
      { logOdds: state.odds.map((odds, column) => Math.log(odds * (favour[column] ?? 1))), rates },
    );
  });
}

type Refit = {
  readonly weighed: readonly WeighedSets[];
  readonly state: State;
  readonly stated: State;
};

function refitted(units: readonly ModeUnit[], { weighed, state, stated }: Refit): State {
  const odds = state.odds.slice();
  const means = state.means.slice();
  for (const [column, before] of state.odds.entries()) {
    let present = 0;
    let expectedPresent = 0;
    let events = 0;
    let days = 0;
    for (const [index, { exposure, favour }] of units.entries()) {
      const one = weighed[index];
      const exposed = exposure[column] ?? 0;
      if (!one || exposed === 0) continue;
      const presence = one.presence[column] ?? 0;
      const prior = before * (favour[column] ?? 1);
      present += presence;
      expectedPresent += prior / (1 + prior);
      events += one.counts[column] ?? 0;
      days += presence * exposed;
    }
    const statedPresent = (STATED_SHARE * units.length * (stated.odds[column] ?? 0)) / (1 + (stated.odds[column] ?? 0));
    const statedMean = stated.means[column] ?? LEAST_RATE;
    // A multiplicative step towards as many affected detectors as found, the stated ones among them.
    odds[column] = (before * (present + statedPresent)) / (expectedPresent + statedPresent);
    // The background is in every detector and would else take whatever is too rare to be told.
    const added = column === 0 ? Math.max(STATED_EVENTS, statedMean * days) : STATED_EVENTS;
    means[column] = (events + added) / (days + added / statedMean);
  }
  // The own window stands for what nobody named; to let it learn would let it eat the named causes.
  const last = odds.length - 1;
  odds[last] = stated.odds[last] ?? 0;
  return { odds, means, backgroundShape: backgroundShape(units, { weighed, mean: means[0] ?? LEAST_RATE }) };
}

// Moments: spread of background counts around the fleet's rate, less what chance gives.
function backgroundShape(
  units: readonly ModeUnit[],
  { weighed, mean }: { weighed: readonly WeighedSets[]; mean: number },
): number {
  let excess = 0;
  let scale = 0;
  for (const [index, { exposure }] of units.entries()) {
    const expected = mean * (exposure[0] ?? 0);
    excess += ((weighed[index]?.counts[0] ?? 0) - expected) ** 2 - expected;
    scale += expected ** 2;
  }
  const { least, most } = BACKGROUND_SHAPES;
  return excess > 0 ? Math.max(least, Math.min(most, scale / excess)) : most;
}
