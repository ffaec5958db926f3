import type { CellReading, ColumnRule, MappingDraft, Part } from "@/lib/import/mapping/mapping";

/** Words of a column as a list of theirs and ours. */
export type WordReading = Extract<CellReading, { as: "words" }>;
/** What a cell with none of the words gives. */
export type Otherwise = WordReading["otherwise"];

/** The draft with a column of ours made by a rule, or by none when it is null. */
export function withRule(draft: MappingDraft, column: string, rule: ColumnRule | null): MappingDraft {
  const { [column]: _before, ...others } = draft.columns;
  return { ...draft, columns: rule === null ? others : { ...others, [column]: rule } };
}

/** The draft with another way to read a column; unchanged where the column has no rule. */
export function withReading(draft: MappingDraft, column: string, read: CellReading): MappingDraft {
  const rule = draft.columns[column];
  return rule ? withRule(draft, column, { ...rule, read }) : draft;
}

/** The draft with other parts for a column, read as before or as usual; no part leaves the column out. */
export function withParts(
  draft: MappingDraft,
  column: string,
  { parts, usual }: { parts: readonly Part[]; usual: CellReading },
): MappingDraft {
  const read = draft.columns[column]?.read ?? usual;
  return withRule(draft, column, parts.length === 0 ? null : { parts: [...parts], read });
}

/** A list of words with one of theirs given a meaning: a word of ours, an empty cell (null), or none any more. */
export function withWord(reading: WordReading, theirs: string, ours: string | null | undefined): WordReading {
  const at = reading.words.findIndex((one) => sameName(one.theirs, theirs));
  const others = reading.words.filter((_, index) => index !== at);
  if (ours === undefined) return { ...reading, words: others };
  const entry = { theirs, ours };
  // Kept in its place, since words are tried in their order.
  return { ...reading, words: at === -1 ? [...others, entry] : reading.words.toSpliced(at, 1, entry) };
}

/** The meaning a list of words gives one of theirs by its whole text; undefined when it has none. */
export function meaningOf({ words }: WordReading, theirs: string): string | null | undefined {
  return words.find((one) => sameName(one.theirs, theirs))?.ours;
}

/** Names of the columns a rule takes cells from. */
export function columnsIn(parts: readonly Part[]): string[] {
  return parts.flatMap((part) => ("column" in part ? [part.column] : []));
}

/** Whether two words, or names of columns, are one: capitals and runs of blanks do not matter. */
export function sameName(one: string, other: string): boolean {
  return wordForm(one) === wordForm(other);
}

/** Parts without one of them; a column takes the text that joined it along. */
export function withoutPart(parts: readonly Part[], index: number): Part[] {
  const isText = (at: number) => parts[at] !== undefined && "text" in parts[at];
  const joint = isText(index) ? index : isText(index - 1) ? index - 1 : isText(index + 1) ? index + 1 : index;
  return parts.filter((_, at) => at !== index && at !== joint);
}

/** Parts with another column at their end, joined by a text that suits what they make. */
export function joinedWith(parts: readonly Part[], column: string, read: CellReading): Part[] {
  return [...parts, { text: read.as === "moment" ? " " : "-" }, { column }];
}

function wordForm(text: string): string {
  return text.normalize("NFC").trim().replace(/\s+/g, " ").toLowerCase();
}
