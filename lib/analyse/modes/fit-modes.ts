import type { KindModel } from "@/lib/analyse/modes/kind-model";
import type { ModeUnit } from "@/lib/analyse/modes/mode-units";

/** What a fit gives: the prior of each column's rate, the words of each, and for each detector rates and shares. */
export type FittedModes = {
  /** Events a day at intensity 1 in an ordinary detector, and the shape of its gamma distribution over detectors. */
  readonly means: Float64Array;
  readonly shapes: Float64Array;
  /** Probability of each word for each column, rows after one another. */
  readonly words: Float64Array;
  /** Per detector: posterior mean rate of each column. */
  readonly rates: readonly Float64Array[];
  /** Per detector: probability of each column for each event, rows after one another. */
  readonly shares: readonly Float64Array[];
};

const PASSES = 14;
const FIRST_SHAPE = 0.3;
const SHAPES = { background: { least: 0.5, most: 5 }, cause: { least: 0.08, most: 0.8 } };
const OWN_WINDOW_SHARE = 0.05;
// Events of common practice against which the fleet's own are weighed: as to how common causes are, and as to words.
const SHARE_EVENTS = 12;
const WORD_EVENTS = 60;

/**
 * Rates of every cause in every detector by collapsed variational inference of a gamma-Poisson mixture.
 *
 * Each event is shared out among the causes by rate x intensity x word; each rate is the gamma prior raised by the
 * shares of the detector's other events; priors and words are re-estimated from the fleet after every pass. The number
 * of passes is fixed and the order is that of the detectors, so the same fleet gives the same answer.
 *
 * @param clumping - events a single strike brings, at least 1: counts and exposure say that much less
 *
 * Source: zero-order collapsed variational inference, Asuncion, Welling, Smyth and Teh (2009), UAI, 27-34, carried from
 * topics to rates over exposure (from memory). Cost: O(passes x events x causes).
 */
export function fitModes(
  units: readonly ModeUnit[],
  { model, clumping }: { model: KindModel; clumping: number },
): FittedModes {
  const columns = model.causes.length + 1;
  const stated = [...model.shares.map((share) => share * (1 - OWN_WINDOW_SHARE)), OWN_WINDOW_SHARE];
  const state: { means: Float64Array; shapes: Float64Array; words: Float64Array } = {
    means: firstMeans(units, stated),
    shapes: new Float64Array(columns).fill(FIRST_SHAPE),
    words: statedWords(model, columns),
  };
  const shares = units.map(({ events }) => new Float64Array(events.length * columns));
  const counts = units.map(() => new Float64Array(columns));
  for (let pass = 0; pass < PASSES; pass += 1) {
    for (const [index, unit] of units.entries()) {
      const share = shares[index];
      const count = counts[index];
      if (share && count)
        shareOut(unit, { ...state, share, count, columns, words: state.words, nWords: model.words.length, clumping });
    }
    state.means = meansOf(units, { counts, stated });
    if (pass >= 2) state.shapes = shapesOf(units, { counts, means: state.means, clumping });
    state.words = wordsOf(units, { shares, model, columns });
  }
  const rates = units.map((unit, index) =>
    Float64Array.from({ length: columns }, (_, column) =>
      rateOf(unit, { ...state, column, count: counts[index]?.[column] ?? 0, clumping }),
    ),
  );
  return { ...state, rates, shares };
}

type Priors = { readonly means: Float64Array; readonly shapes: Float64Array };

function rateOf(
  { favour, exposure }: ModeUnit,
  { means, shapes, column, count, clumping }: Priors & { column: number; count: number; clumping: number },
): number {
  const shape = shapes[column] ?? 1;
  const prior = shape / Math.max(means[column] ?? 0, 1e-12);
  return (shape * (favour[column] ?? 1) + count / clumping) / (prior + (exposure[column] ?? 0) / clumping);
}

type Sharing = Priors & {
  readonly share: Float64Array;
  readonly count: Float64Array;
  readonly columns: number;
  readonly words: Float64Array;
  readonly nWords: number;
  readonly clumping: number;
};

// One pass over a detector's events; the first finds no shares and takes the prior rates alone.
function shareOut(unit: ModeUnit, sharing: Sharing): void {
  const { share, count, columns, words, nWords } = sharing;
  const found = new Float64Array(columns);
  for (let row = 0; row < unit.events.length; row += 1) {
    const weight = unit.weights[row] ?? 0;
    const word = unit.events[row]?.word ?? -1;
    let total = 0;
    for (let column = 0; column < columns; column += 1) {
      const place = row * columns + column;
      const others = Math.max(0, (count[column] ?? 0) - weight * (share[place] ?? 0));
      const said = word < 0 ? 1 : (words[column * nWords + word] ?? 0);
      const value = rateOf(unit, { ...sharing, column, count: others }) * (unit.fits[place] ?? 0) * said;
      found[column] = value;
      total += value;
    }
    for (let column = 0; column < columns; column += 1) {
      const place = row * columns + column;
      const value = total > 0 ? (found[column] ?? 0) / total : column === 0 ? 1 : 0;
      count[column] = (count[column] ?? 0) + weight * (value - (share[place] ?? 0));
      share[place] = value;
    }
  }
}

function firstMeans(units: readonly ModeUnit[], stated: readonly number[]): Float64Array {
  let events = 0;
  for (const { weights } of units) for (const weight of weights) events += weight;
  return Float64Array.from(stated, (share, column) => (Math.max(events, 0.5) * share) / favouredDays(units, column));
}

function favouredDays(units: readonly ModeUnit[], column: number): number {
  let days = 0;
  for (const { exposure, favour } of units) days += (exposure[column] ?? 0) * (favour[column] ?? 1);
  return Math.max(1, days);
}

function meansOf(
  units: readonly ModeUnit[],
  { counts, stated }: { counts: readonly Float64Array[]; stated: readonly number[] },
): Float64Array {
  const sums = stated.map((_, column) => counts.reduce((sum, count) => sum + (count[column] ?? 0), 0));
  const total = sums.reduce((sum, one) => sum + one, 0);
  // A fleet with few events weighs what is stated in proportion, so that no fleet is given more events than it had.
  const added = Math.min(SHARE_EVENTS, total / 2 + 0.25);
  const scale = total > 0 ? total / (total + added) : 1;
  return Float64Array.from(stated, (share, column) => {
    return (((sums[column] ?? 0) + added * share) * scale) / favouredDays(units, column);
  });
}

// Moments: spread of shared counts around what the mean rate gives, less what chance gives.
function shapesOf(
  units: readonly ModeUnit[],
  { counts, means, clumping }: { counts: readonly Float64Array[]; means: Float64Array; clumping: number },
): Float64Array {
  return means.map((mean, column) => {
    let excess = 0;
    let scale = 0;
    for (const [index, { exposure, favour }] of units.entries()) {
      const expected = mean * (exposure[column] ?? 0) * (favour[column] ?? 1);
      const seen = counts[index]?.[column] ?? 0;
      excess += (seen - expected) ** 2 - clumping * expected;
      scale += expected ** 2;
    }
    const { least, most } = column === 0 ? SHAPES.background : SHAPES.cause;
    return excess > 0 ? Math.max(least, Math.min(most, scale / excess)) : most;
  });
}

function statedWords({ wordGiven, words }: KindModel, columns: number): Float64Array {
  const table = new Float64Array(columns * words.length);
  for (let column = 0; column < columns; column += 1) {
    for (let word = 0; word < words.length; word += 1) {
      table[column * words.length + word] = wordGiven[column === columns - 1 ? 0 : column]?.[word] ?? 0;
    }
  }
  return table;
}

function wordsOf(
  units: readonly ModeUnit[],
  { shares, model, columns }: { shares: readonly Float64Array[]; model: KindModel; columns: number },
): Float64Array {
  const nWords = model.words.length;
  const table = statedWords(model, columns).map((probability) => WORD_EVENTS * probability);
  for (const [index, { events }] of units.entries()) {
    const share = shares[index];
    for (const [row, { word }] of events.entries()) {
      if (word < 0) continue;
      for (let column = 0; column < columns; column += 1) {
        const place = column * nWords + word;
        table[place] = (table[place] ?? 0) + (share?.[row * columns + column] ?? 0);
      }
    }
  }
  for (let column = 0; column < columns; column += 1) {
    let total = 0;
    for (let word = 0; word < nWords; word += 1) total += table[column * nWords + word] ?? 0;
    for (let word = 0; word < nWords; word += 1) {
      table[column * nWords + word] = (table[column * nWords + word] ?? 0) / total;
    }
  }
  return table;
}
