import type { Candidate } from "@/lib/import/mapping/guess/candidates";
import { headerForm } from "@/lib/import/mapping/guess/header-words";
import { hasTradeWords, saysEnd, tradeStem, tradeWord, tradeWordsOf } from "@/lib/import/mapping/guess/trade-words";
import type { CellReading, NumberUnit } from "@/lib/import/mapping/mapping";
import { formOfColumn, unitsOf } from "@/lib/import/mapping/units";

/** How a column is read, and what of that only a person can confirm. */
export type GuessedReading = { readonly read: CellReading; readonly doubts: readonly string[] };

/** Counts at which converters of 8, 10, 12 and 16 bits are full. */
const fullScales = [255, 1023, 4095, 65_535] as const;
/** Values up to this many are listed as words; a column of more holds sentences, in which words are looked for. */
const LISTED = 60;

/** The reading of a column of ours made of a candidate. */
export function guessReading(column: string, candidate: Candidate): GuessedReading {
  switch (formOfColumn(column)) {
    case "moment":
      return guessMoment(candidate);
    case "day":
    case "clock":
      return { read: { as: "moment", order: null, zone: "site" }, doubts: [] };
    case "number":
      return guessNumber(column, candidate);
    case "text":
      return hasTradeWords(column) ? guessWords(column, candidate) : { read: { as: "text" }, doubts: [] };
  }
}

function guessMoment({ name, form }: Candidate): GuessedReading {
  if (form === "unix_seconds" || form === "unix_milliseconds") {
    const unit = form === "unix_seconds" ? "seconds" : "milliseconds";
    return {
      read: { as: "moment", order: form, zone: "site" },
      doubts: [`is taken for ${unit} since 1970 in UTC; confirm it`],
    };
  }
  const zone = /(?<![a-z])(?:utc|gmt|zulu)(?![a-z])/i.test(name) ? "UTC" : "site";
  const doubts = form === "day" ? ["has a day but no time of day; choose the column of the time as well"] : [];
  return { read: { as: "moment", order: null, zone }, doubts };
}

/** The rule for rows that begin and rows that end an event, read from the words of a column; null when no word is an end. */
export function guessPhase(candidate: Candidate): CellReading | null {
  const values = candidate.columns.flatMap((one) => one.values);
  const over = values.filter(saysEnd);
  if (over.length === 0 || over.length === values.length || values.length > LISTED) return null;
  const words = values.map((theirs) => ({ theirs: cut(theirs), ours: saysEnd(theirs) ? "end" : "begin" }));
  return { as: "words", match: "whole", words, otherwise: { do: "refuse" } };
}

function guessWords(column: string, candidate: Candidate): GuessedReading {
  const { columns, name } = candidate;
  const values = columns.flatMap((one) => one.values);
  if (values.length > LISTED) return guessPieces(column, candidate);
  const known = values.flatMap((theirs): Word[] => {
    const ours = tradeWord(column, theirs);
    if (ours !== null) return [{ theirs: cut(theirs), ours }];
    // Where one column tells condition and cause, the words of other conditions have no cause, and that is known.
    const other = column === "cause" ? tradeWord("condition", theirs) : null;
    return other === null || other === "fault" ? [] : [{ theirs: cut(theirs), ours: null }];
  });
  const literal = known.every(({ theirs, ours }) => theirs === ours);
  if (literal && known.length === values.length) return { read: { as: "text" }, doubts: [] };
  const doubts = [
    ...(known.length === 0 ? [] : [`takes ${listed(known)} from ${name}; check each word`]),
    ...(known.length < values.length ? [`does not know ${values.length - known.length} of the words in ${name}`] : []),
  ];
  return { read: { as: "words", match: "whole", words: [...known], otherwise: { do: "refuse" } }, doubts };
}

/** Sentences: the pieces of them that tell our words, narrower words before wider ones. */
function guessPieces(column: string, { columns, name }: Candidate): GuessedReading {
  const found = new Map<string, Word>();
  for (const value of columns.flatMap((one) => one.values)) {
    const piece = tradeStem(column, value);
    if (piece) found.set(piece.theirs, piece);
  }
  const order = tradeWordsOf(column);
  const words = [...found.values()].toSorted((a, b) => order.indexOf(a.ours ?? "") - order.indexOf(b.ours ?? ""));
  const doubts = [
    `looks for ${words.length === 0 ? "no words" : listed(words)} in the texts of ${name}; check each word`,
  ];
  return { read: { as: "words", match: "inside", words, otherwise: { do: "refuse" } }, doubts };
}

type Word = { readonly theirs: string; readonly ours: string | null };

function listed(all: readonly Word[]): string {
  const words = all.filter(({ ours }) => ours !== null);
  const some = words.slice(0, 3).map(({ theirs, ours }) => `'${theirs.slice(0, 40)}' as ${ours}`);
  return `${some.join(", ")}${words.length > 3 ? ` and ${words.length - 3} more` : ""}`;
}

function guessNumber(column: string, { columns, name }: Candidate): GuessedReading {
  const units = unitsOf(column);
  const [usual = "number"] = units;
  const numbers = columns.flatMap((one) => one.numbers);
  const cells = columns.flatMap((one) => one.cells.slice(0, 20)).join(" ");
  const reading = (unit: NumberUnit, ...doubts: string[]): GuessedReading => ({
    read: { as: "number", decimal: null, unit },
    doubts,
  });
  if (units.length === 1 || headerForm(name) === column.replaceAll("_", " ")) return reading(usual);
  const said = saidUnit(`${name} ${cells}`, units);
  if (said === "decibel" && units.includes("decibel_gain")) {
    const below = numbers.filter((value) => value < 0).length * 2 > numbers.length;
    return below
      ? reading("decibel_gain", "is mostly below 0 dB and taken for a gain; confirm that -3 dB is half the signal")
      : reading("decibel", "is taken for attenuation; confirm that 3 dB is half the signal");
  }
  if (said === "counts") return guessCounts(numbers, name);
  if (said !== null) return reading(said);
  return guessByRange(column, { numbers, name, usual, units }, reading);
}

function guessByRange(
  column: string,
  {
    numbers,
    name,
    usual,
    units,
  }: { numbers: readonly number[]; name: string; usual: NumberUnit; units: readonly NumberUnit[] },
  reading: (unit: NumberUnit, ...doubts: string[]) => GuessedReading,
): GuessedReading {
  const top = Math.max(0, ...numbers.slice(0, 5_000).map(Math.abs));
  if (units.includes("share") && top > 0 && top <= 1.5) {
    return reading("share", `holds values up to ${top} and is taken for a share of 1; confirm it`);
  }
  if (column.startsWith("signal") && top > 400) return guessCounts(numbers, name);
  if (column.startsWith("signal")) {
    return reading(
      usual,
      "is taken for percent of the stored signal; confirm that 100 is a clear path, not full obscuration",
    );
  }
  return reading(usual, `is taken to be in ${usual}; confirm the unit`);
}

function guessCounts(numbers: readonly number[], name: string): GuessedReading {
  const top = Math.max(0, ...numbers.slice(0, 5_000));
  const fullScale = fullScales.find((full) => full >= top) ?? Math.max(1, top);
  return {
    read: { as: "number", decimal: null, unit: "counts", fullScale },
    doubts: [`is taken for counts from ${name} of which ${fullScale} are 100 %; say which count the stored signal had`],
  };
}

/** The unit that a header or the cells name, of those the column may come in. */
function saidUnit(text: string, units: readonly NumberUnit[]): NumberUnit | null {
  const low = text.toLowerCase();
  const patterns: readonly (readonly [RegExp, NumberUnit])[] = [
    [/\bdb\b|decibel|dezibel/, "decibel"],
    [/obsc|verdunk|trübung|opac|obscur|verduister/, "obscuration_percent"],
    [/\bcounts?\b|\bcts\b|\bdigits?\b|\braw\b|\badc\b/, "counts"],
    [/°\s?f\b|fahrenheit|_f\b|\(f\)/, "fahrenheit"],
    [/°\s?c\b|celsius|_c\b|\(c\)/, "celsius"],
    [/\bft\b|\bfeet\b|\bfoot\b|_ft\b/, "foot"],
    [/\[m\]|\(m\)|_m\b|\bmet(?:er|re)s?\b/, "metre"],
    [/\bhours?\b|\bhrs?\b|\bstunden\b|\bheures\b|\bhoras\b|\bore\b|\buren\b/, "hour"],
    [/\bmin(?:ut\w*)?\b|\[min\]/, "minute"],
  ];
  return patterns.find(([pattern, unit]) => units.includes(unit) && pattern.test(low))?.[1] ?? null;
}

function cut(word: string): string {
  return word.slice(0, 200);
}
