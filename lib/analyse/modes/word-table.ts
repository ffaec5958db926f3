import type { KindModel } from "@/lib/analyse/modes/kind-model";
import type { ModeUnit } from "@/lib/analyse/modes/mode-units";

/** Probability of a recorded word for a column: the causes in order, and last the own window, which is as the background. */
export type WordTable = { readonly of: (column: number, word: number) => number };

// What is stated of words counts like so many events of each cause.
const STATED_EVENTS = 60;

/** The words as stated. */
export function firstWords(model: KindModel, columns: number): WordTable {
  return tableOf(statedCounts(model, columns), model.words.length);
}

/** The words as stated and as the fleet's events, shared out among causes, bear them out. */
export function wordsFrom(
  units: readonly ModeUnit[],
  { shares, model, columns }: { shares: readonly Float64Array[]; model: KindModel; columns: number },
): WordTable {
  const nWords = model.words.length;
  const counts = statedCounts(model, columns);
  for (const [index, { events }] of units.entries()) {
    const share = shares[index];
    for (const [row, { word }] of events.entries()) {
      if (word < 0) continue;
      for (let column = 0; column < columns; column += 1) {
        const place = column * nWords + word;
        counts[place] = (counts[place] ?? 0) + (share?.[row * columns + column] ?? 0);
      }
    }
  }
  return tableOf(counts, nWords);
}

function statedCounts({ wordGiven, words }: KindModel, columns: number): Float64Array {
  const counts = new Float64Array(columns * words.length);
  for (let column = 0; column < columns; column += 1) {
    for (let word = 0; word < words.length; word += 1) {
      const given = wordGiven[column === columns - 1 ? 0 : column]?.[word] ?? 0;
      counts[column * words.length + word] = STATED_EVENTS * given;
    }
  }
  return counts;
}

function tableOf(counts: Float64Array, nWords: number): WordTable {
  const totals = new Float64Array(counts.length / nWords);
  for (const [place, count] of counts.entries()) {
    const column = Math.floor(place / nWords);
    totals[column] = (totals[column] ?? 0) + count;
  }
  return { of: (column, word) => (counts[column * nWords + word] ?? 0) / (totals[column] ?? 1) };
}
