import { fractionDigits, majorOf, minorOf, minorPerMajor } from "@/lib/kernel/money";
import type { SettingDefinition, SettingUnit } from "@/lib/settings/definition";

/** A value read from what a person typed, or why there is none, in words to stand beside the field. */
export type TypedValue =
  | { readonly ok: true; readonly value: number }
  | { readonly ok: false; readonly problem: string };

/** What a person types for a setting's value: money in major units, a share in percent, the rest as it is. */
export function settingText(definition: SettingDefinition, value: number, { currency }: { currency: string }): string {
  if (definition.unit === "money") return fixed(majorOf(value, currency), fractionDigits(currency));
  if (definition.unit === "share") return String(Number((value * 100).toFixed(6)));
  return String(value);
}

/** The unit that stands behind the field: EUR, %, days. */
export function unitText(unit: SettingUnit, { currency }: { currency: string }): string {
  if (unit === "money") return currency;
  if (unit === "share") return "%";
  if (unit === "count") return "";
  return unit;
}

/**
 * Value of a setting as typed, with decimal point or comma, without separators of thousands.
 *
 * @returns the value in the setting's own unit, inside its range; else what is wrong and what to type
 */
export function typedSetting(
  definition: SettingDefinition,
  text: string,
  { currency }: { currency: string },
): TypedValue {
  const compact = text.replace(/[\s\u00a0\u202f]/g, "");
  if (compact === "") return { ok: false, problem: "is empty; type a number" };
  if (/^\d{1,3}(,\d{3}){2,}/.test(compact) || (compact.includes(",") && compact.includes("."))) {
    return { ok: false, problem: "has a separator of thousands; type the digits alone, such as 1234.50" };
  }
  if (!/^-?\d+([.,]\d+)?$/.test(compact))
    return { ok: false, problem: "is not a number; type digits such as 120 or 4.5" };
  if (/^\d{1,3},\d{3}$/.test(compact)) {
    return { ok: false, problem: "could be thousands or a decimal; type 1234 or 1.234" };
  }
  const typed = Number(compact.replace(",", "."));
  const value = inOwnUnit(definition.unit, typed, currency);
  if (value === null) return { ok: false, problem: `has more decimals than ${currency} has` };
  if (definition.unit === "count" && !Number.isInteger(value)) return { ok: false, problem: "must be a whole number" };
  if (value < definition.min || value > definition.max)
    return { ok: false, problem: rangeText(definition, { currency }) };
  return { ok: true, value };
}

/** The range a setting may take, in words and in the unit it is typed in. */
export function rangeText(definition: SettingDefinition, { currency }: { currency: string }): string {
  const unit = unitText(definition.unit, { currency });
  const ends = [definition.min, definition.max].map((end) => settingText(definition, end, { currency }));
  return `must be from ${ends.join(" to ")}${unit === "" ? "" : ` ${unit}`}`;
}

function inOwnUnit(unit: SettingUnit, typed: number, currency: string): number | null {
  if (unit === "share") return Number((typed / 100).toFixed(8));
  if (unit !== "money") return typed;
  const minor = typed * minorPerMajor(currency);
  return Math.abs(minor - Math.round(minor)) > 1e-6 ? null : minorOf(typed, currency);
}

function fixed(value: number, decimals: number): string {
  return value.toFixed(decimals);
}
