import { z } from "zod";
import { isLocalDate, isTimeZone } from "@/lib/kernel/time";

/** Longest text a cell may hold; a longer one is refused, so that one bad cell cannot fill the store. */
export const CELL_LIMIT = 2_000;

// `meta` below is what a JSON Schema made of a row says of its cells, as far as it does not follow from the checks.
const tooLong = `is longer than ${CELL_LIMIT} characters; shorten it`;
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this refuses
const controlCharacter = /[\u0000-\u0008\u000b\u000c\u000e-\u001f]/;

/** Text with blanks trimmed; refused when empty, too long or holding control characters such as NUL. */
export const textCell = z
  .string()
  .trim()
  .min(1, "is missing; give a value")
  .max(CELL_LIMIT, tooLong)
  .refine((text) => !controlCharacter.test(text), "holds a control character such as NUL; remove it");

/** A user's id: text of at most 100 characters on one line. */
export const idCell = textCell.refine((text) => text.length <= 100 && !/[\r\n]/.test(text), {
  message: "is not an id; use at most 100 characters on one line",
});

/** Number written with a decimal point, inside `min`..`max` of `unit`. */
export function numberCell({ min, max, unit, integer = false }: NumberCell) {
  const range = `is outside ${min}..${max} ${unit}`.trimEnd();
  return textCell
    .refine((text) => plainNumber.test(text), "is not a number; write digits with a decimal point, such as 12.5")
    .transform(Number)
    .refine((value) => value >= min && value <= max, `${range}; check the value and its unit`)
    .refine((value) => !integer || Number.isInteger(value), "is not a whole number")
    .meta({ type: [integer ? "integer" : "number", "string"], minimum: min, maximum: max });
}

/** Calendar day, `YYYY-MM-DD`. */
export const dateCell = textCell.refine(isLocalDate, "is not a day; write YYYY-MM-DD, such as 2026-03-09").meta({
  format: "date",
});

/** Moment in ISO 8601, with an offset or as wall time of the site's zone; read by `momentOf`, which knows the zone. */
export const momentCell = textCell;

/** IANA time zone name. */
export const zoneCell = textCell.refine(isTimeZone, "is not a time zone; use an IANA name such as Europe/Lisbon");

/** ISO 4217 currency code. */
export const currencyCell = textCell.regex(/^[A-Z]{3}$/, "is not a currency; use three capital letters such as EUR");

/** Time of day, `HH:MM`. */
export const clockCell = textCell.regex(
  /^([01]\d|2[0-3]):[0-5]\d$/,
  "is not a time of day; write HH:MM, such as 07:30",
);

/** true or false, also yes/no and 1/0. */
export const booleanCell = textCell
  .toLowerCase()
  .refine((text) => Object.hasOwn(booleans, text), "is not true or false; write true, false or leave it empty")
  .transform((text) => booleans[text] === true)
  .meta({ type: ["boolean", "string"] });

/** One word of a list, in small letters with underscores. */
export function wordCell<const Words extends readonly [string, ...string[]]>(words: Words) {
  return textCell.pipe(z.enum(words, { error: `is not one of: ${words.join(", ")}` }));
}

/** The same cell when it may stay empty: an empty cell, or a file without the column, gives null. */
export function optionalCell<Cell extends z.ZodType>(cell: Cell) {
  return z.preprocess((value) => (isBlank(value) ? null : value), cell.nullable());
}

function isBlank(value: unknown): boolean {
  return value === undefined || (typeof value === "string" && value.trim() === "");
}

/** Limits of a {@link numberCell}. */
export type NumberCell = {
  readonly min: number;
  readonly max: number;
  readonly unit: string;
  readonly integer?: boolean;
};

/** A number as our files write it: digits with a decimal point, with or without a sign. */
export const plainNumber = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;
const booleans: Record<string, boolean> = { true: true, yes: true, "1": true, false: false, no: false, "0": false };
