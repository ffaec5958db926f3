import type { NumberUnit } from "@/lib/import/mapping/mapping";
import { CONVERTED_DIGITS, type Conversion, converted } from "@/lib/import/mapping/units";

/** Sign that stands before the decimals. */
export type DecimalSign = "point" | "comma";

/** Plain digits with a decimal point, or in words why a text is no number. */
export type NumberResult =
  | { readonly ok: true; readonly digits: string }
  | { readonly ok: false; readonly reason: string };

/** Longest text that is tried as a number. */
const NUMBER_LIMIT = 80;

const grammars: Readonly<Record<DecimalSign, RegExp>> = {
  point: /^([+-]?)(\d+|[1-9]\d{0,2}(?:,\d{3})+|[1-9]\d{0,2}(?:'\d{3})+|[1-9]\d{0,2}(?: \d{3})+|)(?:\.(\d*))?$/,
  comma: /^([+-]?)(\d+|[1-9]\d{0,2}(?:\.\d{3})+|[1-9]\d{0,2}(?:'\d{3})+|[1-9]\d{0,2}(?: \d{3})+|)(?:,(\d*))?$/,
};

/** Most numbers by far: digits with at most the decimal sign. */
const plain: Readonly<Record<DecimalSign, RegExp>> = {
  point: /^-?\d{1,15}(?:\.\d{1,15})?$/,
  comma: /^-?\d{1,15}(?:,\d{1,15})?$/,
};

const suffixes: readonly (readonly [RegExp, readonly NumberUnit[]])[] = [
  [/^%$/, ["percent", "obscuration_percent"]],
  [/^db$/i, ["decibel", "decibel_gain"]],
  [/^(?:°\s?c|℃|c)$/i, ["celsius"]],
  [/^(?:°\s?f|℉|f)$/i, ["fahrenheit"]],
  [/^(?:m|mtr|met(?:er|re)s?)$/i, ["metre"]],
  [/^(?:ft|feet|foot)$/i, ["foot"]],
  [/^(?:min|mins|minutes?)\.?$/i, ["minute"]],
  [/^(?:h|hr|hrs|hours?)\.?$/i, ["hour"]],
  [/^(?:°|deg|degrees?)$/i, ["degree"]],
  [/^(?:counts?|cts|digits?)$/i, ["counts"]],
];

/**
 * Reads a number as people and panels write it: decimal point or comma, thousands marked in groups of three by the other
 * sign, an apostrophe or blanks, a plus or a minus of any kind, a power of ten after E, and its unit behind it.
 *
 * A unit that is not the one the column comes in refuses the number, since one of the two is wrong.
 */
export function readNumber(text: string, { decimal, unit }: { decimal: DecimalSign; unit: NumberUnit }): NumberResult {
  if (plain[decimal].test(text)) return { ok: true, digits: decimal === "comma" ? text.replace(",", ".") : text };
  const cut = cutNumber(text);
  if (cut === null) return no(`is not a number; write digits with a decimal ${decimal}`);
  if (cut.suffix !== "") {
    const known = suffixes.find(([pattern]) => pattern.test(cut.suffix))?.[1];
    if (known === undefined) return no(`has '${cut.suffix}' behind the number; remove it`);
    if (!known.includes(unit)) return no(`says '${cut.suffix}' where the mapping says ${unit}; choose the right unit`);
  }
  const parts = grammars[decimal].exec(cut.body);
  const [, sign = "", whole = "", fraction = ""] = parts ?? [];
  if (!parts || whole + fraction === "") return no(`is not a number with a decimal ${decimal}`);
  const digits = `${sign === "-" ? "-" : ""}${whole.replace(/[^\d]/g, "")}${fraction === "" ? "" : `.${fraction}`}`;
  if (cut.exponent === 0) return { ok: true, digits };
  const value = Number(`${digits}e${cut.exponent}`);
  return Number.isFinite(value) ? { ok: true, digits: plainDigits(value, 12) } : no("is too large a number");
}

/** Reads a number and gives it in the unit of our column; what needs no conversion keeps its digits as sent. */
export function readValue(text: string, decimal: DecimalSign, conversion: Conversion): NumberResult {
  const result = readNumber(text, { decimal, unit: conversion.unit });
  if (!result.ok) return result;
  const value = Number(result.digits);
  if (!Number.isFinite(value)) return no("is too large a number");
  const changed = converted(value, conversion);
  if (changed === null) return result;
  if (!Number.isFinite(changed)) return no(`cannot be converted from ${conversion.unit}`);
  return { ok: true, digits: plainDigits(changed, CONVERTED_DIGITS) };
}

function no(reason: string): NumberResult {
  return { ok: false, reason };
}

/** A number in plain digits, rounded to `places` after the point, without needless zeros. */
function plainDigits(value: number, places: number): string {
  if (Math.abs(value) >= 1e21) return BigInt(value).toString();
  const fixed = value.toFixed(places);
  const short = fixed.replace(/\.?0+$/, "");
  return short === "-0" || short === "" ? "0" : short;
}

function cutNumber(text: string): { body: string; exponent: number; suffix: string } | null {
  if (text.length > NUMBER_LIMIT) return null;
  const tidy = text
    .trim()
    .replace(/[\s\u00a0\u2007\u2009\u202f]+/g, " ")
    .replace(/[\u2212\u2012\u2013\ufe63\uff0d]/g, "-")
    .replace(/[\u2019\u02bc\u2032`´]/g, "'");
  const parts = /^([+-]? ?[\d.,' ]*[\d.,])(?:[eE]([+-]?\d{1,3})(?![\d]))? ?([^\d]*)$/.exec(tidy);
  if (!parts) return null;
  const [, body = "", exponent = "0", suffix = ""] = parts;
  return { body: body.replace(/^([+-]) /, "$1"), exponent: Number(exponent), suffix: suffix.trim() };
}
