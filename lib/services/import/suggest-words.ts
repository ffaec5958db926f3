import { saysEnd, tradeWord } from "@/lib/import/mapping/guess/trade-words";
import type { CellReading, ColumnRule, MappingDraft } from "@/lib/import/mapping/mapping";
import type { SplitRecord } from "@/lib/import/split-records";
import { wordsIn } from "@/lib/services/import/try-mapping";

/**
 * A draft with each list of words that is still empty filled by what the words of the file most likely mean.
 *
 * So a column that was only just chosen shows its words with the usual meanings, and the others as unknown.
 */
export function withSuggestedWords(
  draft: MappingDraft,
  { columns, records }: { columns: readonly string[]; records: readonly SplitRecord[] },
): MappingDraft {
  const empty = Object.entries(draft.columns).filter(([, { read }]) => read.as === "words" && read.words.length === 0);
  if (empty.length === 0) return draft;
  const found = wordsIn({ mapping: { ...draft, columns: Object.fromEntries(empty) }, columns, records });
  const filled = empty.map(([column, rule]): [string, ColumnRule] => {
    const words = (found.get(column) ?? []).flatMap(({ word }) => {
      const ours = word.length > WORD_LENGTH ? null : meaning(column, word);
      return ours === null ? [] : [{ theirs: word, ours }];
    });
    return [column, { ...rule, read: withWords(rule.read, words) }];
  });
  return { ...draft, columns: { ...draft.columns, ...Object.fromEntries(filled) } };
}

/** Longest word a mapping may hold; what is longer is a sentence. */
const WORD_LENGTH = 200;

function meaning(column: string, word: string): string | null {
  if (column === "phase") return saysEnd(word) ? "end" : "begin";
  return tradeWord(column, word);
}

function withWords(read: CellReading, words: { theirs: string; ours: string }[]): CellReading {
  return read.as === "words" ? { ...read, words } : read;
}
