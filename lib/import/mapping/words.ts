import type { CellReading } from "@/lib/import/mapping/mapping";

/** A list of words as a mapping has it. */
export type WordReading = Extract<CellReading, { as: "words" }>;

/** What a list of words makes of a text: a word of ours (empty for none), or that no word of the list is in it. */
export type WordResult = { readonly found: true; readonly ours: string } | { readonly found: false };

/** Texts whose result is remembered, since rows share few of them. */
const MEMORY = 5_000;

/** Looks texts up in a list of words: capitals and runs of blanks do not matter, the first word that fits counts. */
export function wordLookup({ match, words }: WordReading): (text: string) => WordResult {
  const list = words
    .map(({ theirs, ours }) => ({ theirs: wordForm(theirs), ours: ours ?? "" }))
    .filter(({ theirs }) => theirs !== "");
  const known = new Map<string, WordResult>();
  return (text) => {
    const remembered = known.get(text);
    if (remembered) return remembered;
    const form = wordForm(text);
    const hit = list.find(({ theirs }) => (match === "whole" ? form === theirs : form.includes(theirs)));
    const result: WordResult = hit ? { found: true, ours: hit.ours } : { found: false };
    if (known.size >= MEMORY) known.clear();
    if (text.length <= 500) known.set(text, result);
    return result;
  };
}

/** The form in which words are compared; accents count, as they tell words apart. */
export function wordForm(text: string): string {
  return text.normalize("NFC").trim().replace(/\s+/g, " ").toLowerCase();
}
