import type { ColumnContents } from "@/lib/import/mapping/guess/column-contents";
import { addressWords, clockWords, headerFit, headerForm } from "@/lib/import/mapping/guess/header-words";
import type { Part } from "@/lib/import/mapping/mapping";

/** Columns of theirs that together may be one of ours: one, a day and its time of day, or the pieces of an id. */
export type Candidate = {
  readonly name: string;
  readonly columns: readonly ColumnContents[];
  readonly parts: readonly Part[];
  readonly form: ColumnContents["form"];
  /** Whether it is put together, which a person should confirm. */
  readonly composed: boolean;
};

/** All columns alone, each day joined with the time of day that follows it, and the address of a detector. */
export function candidatesOf(columns: readonly ColumnContents[]): Candidate[] {
  return [...columns.map(alone), ...dayAndTime(columns), ...addresses(columns)];
}

function alone(column: ColumnContents): Candidate {
  return {
    name: column.name,
    columns: [column],
    parts: [{ column: column.name }],
    form: column.form,
    composed: false,
  };
}

/** A day takes the nearest time of day behind it that no other day has, else the nearest before it. */
function dayAndTime(columns: readonly ColumnContents[]): Candidate[] {
  const used = new Set<ColumnContents>();
  const clocks = columns.filter((one) => one.form === "clock");
  return columns
    .filter((one) => one.form === "day")
    .flatMap((day): Candidate[] => {
      const free = clocks.filter((one) => !used.has(one));
      const time = free.find((one) => one.place > day.place) ?? free.findLast((one) => one.place < day.place);
      if (!time) return [];
      used.add(time);
      return [
        {
          name: clockWords.test(headerForm(day.name)) ? day.name : `${day.name} ${time.name}`,
          columns: [day, time],
          parts: [{ column: day.name }, { text: " " }, { column: time.name }],
          form: "moment",
          composed: true,
        },
      ];
    });
}

/** Panel, loop and point of a detector, when at least two of them have a column. */
function addresses(columns: readonly ColumnContents[]): Candidate[] {
  const pieces = [addressWords.panel, addressWords.loop, addressWords.address].flatMap((sure) => {
    const fits = columns.filter((one) => one.form !== "empty" && headerFit(one.name, { sure }) >= 7);
    const [best] = fits.toSorted((a, b) => headerFit(b.name, { sure }) - headerFit(a.name, { sure }));
    return best ? [best] : [];
  });
  const distinct = [...new Set(pieces)];
  if (distinct.length < 2) return [];
  const parts = distinct.flatMap(({ name }, index): Part[] =>
    index === 0 ? [{ column: name }] : [{ text: "-" }, { column: name }],
  );
  return [{ name: distinct.map((one) => one.name).join(" "), columns: distinct, parts, form: "text", composed: true }];
}
