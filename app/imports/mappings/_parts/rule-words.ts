import type { CellReading, ColumnRule, Part } from "@/lib/import/mapping/mapping";

/** Where a column of ours comes from, in words. */
export function partsWords(parts: readonly Part[]): string {
  return parts.map(partWords).join(" + ");
}

function partWords(part: Part): string {
  if ("text" in part) return part.text.trim() === "" ? "a blank" : `the text “${part.text}”`;
  return part.width === undefined ? part.column : `${part.column} (${part.width} digits)`;
}

const orderWords = {
  year_first: "dates year first",
  day_first: "dates day first",
  month_first: "dates month first",
  unix_seconds: "seconds since 1970",
  unix_milliseconds: "milliseconds since 1970",
} as const;
const signWords = { point: "decimal point", comma: "decimal comma" } as const;

/** How the text of a column is read, in words. */
export function readingWords({ read }: ColumnRule): string {
  switch (read.as) {
    case "text":
      return "as it stands";
    case "moment": {
      const order = read.order === null ? "dates as the rows show" : orderWords[read.order];
      return `${order}, ${read.zone === "site" ? "in the site’s zone" : `in ${read.zone}`}`;
    }
    case "number": {
      const sign = read.decimal === null ? "decimal sign as the rows show" : signWords[read.decimal];
      const unit = read.unit.replaceAll("_", " ");
      return `${unit}, ${sign}${read.fullScale === undefined ? "" : `, 100 % is ${read.fullScale}`}`;
    }
    case "words":
      return `${read.words.length} words; any other ${otherwiseWords(read.otherwise)}`;
  }
}

/** What a word without a meaning does, in words. */
export function otherwiseWords(otherwise: Extract<CellReading, { as: "words" }>["otherwise"]): string {
  if (otherwise.do === "use") return otherwise.ours === null ? "leaves the cell empty" : `is ${otherwise.ours}`;
  return otherwise.do === "refuse" ? "refuses its row" : "leaves its row out";
}
