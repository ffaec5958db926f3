import type { MappingDraft } from "@/lib/import/mapping/mapping";

/** What a guess is made from: the columns of a file, some of its rows, and its name. */
export type GuessInput = {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly name: string;
};

/** Something in a guess that only a person can confirm: the column of ours, and why. */
export type Doubt = { readonly column: string; readonly reason: string };

/** A draft of a mapping with what in it is in doubt. */
export type Guess = { readonly draft: MappingDraft; readonly doubts: readonly Doubt[] };

/** Guesses a mapping from the words of a header and from what stands in the cells. */
export function guessMapping({ columns }: GuessInput): Guess {
  return {
    draft: { form: 1, kind: "events", table: {}, columns: {}, madeFor: [...columns] },
    doubts: [],
  };
}
