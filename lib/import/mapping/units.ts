import type { NumberUnit } from "@/lib/import/mapping/mapping";
import { obscurationPctOf, signalPctOf } from "@/lib/kernel/units";

/** Digits after the point that a converted value keeps: a ten-thousandth, far below what any detector resolves. */
export const CONVERTED_DIGITS = 4;

/** What a column of ours holds, which decides how its cells may be read. */
export type ColumnForm = "moment" | "day" | "clock" | "number" | "text";

const signalUnits = ["percent", "share", "obscuration_percent", "decibel", "decibel_gain", "counts"] as const;
const unitsByColumn = new Map<string, readonly NumberUnit[]>([
  ["signal_pct", signalUnits],
  ["signal_before_pct", signalUnits],
  ["signal_after_pct", signalUnits],
  ["compensation_pct", ["percent", "share", "counts"]],
  ["temperature_c", ["celsius", "fahrenheit"]],
  ["path_length_m", ["metre", "foot"]],
  ["height_m", ["metre", "foot"]],
  ["minutes", ["minute", "hour"]],
  ["alarm_threshold_pct", ["percent", "decibel", "share"]],
  ["bearing_deg", ["degree"]],
  ["latitude", ["degree"]],
  ["longitude", ["degree"]],
  ["detectors_on_system", ["number"]],
]);

/** Units a column of ours may come in, its own first; empty for a column that is not a number. */
export function unitsOf(column: string): readonly NumberUnit[] {
  return unitsByColumn.get(column) ?? [];
}

/** What a column of ours holds; steering columns and unknown ones are text. */
export function formOfColumn(column: string): ColumnForm {
  if (unitsByColumn.has(column)) return "number";
  if (column.endsWith("_at")) return "moment";
  if (column.endsWith("_on")) return "day";
  return column === "opens" || column === "closes" ? "clock" : "text";
}

/**
 * A number of a foreign unit in the unit of our column; null when it needs no conversion.
 *
 * Attenuation A dB leaves a signal of 100 x 10^(-A/10) %, and is an obscuration of 100 less that; a gain is an
 * attenuation with the other sign. Source: EN 54-12 (definition of attenuation, from memory).
 *
 * @param value - a finite number
 * @returns a number that may lie outside the column's range, which the reader of rows judges; null when the value stands as it is
 */
export function converted(value: number, { column, unit, fullScale }: Conversion): number | null {
  switch (unit) {
    case "share":
      return value * 100;
    case "obscuration_percent":
      return 100 - value;
    case "decibel":
      return column === "alarm_threshold_pct" ? obscurationPctOf(value) : signalPctOf(value);
    case "decibel_gain":
      return signalPctOf(-value);
    case "counts":
      return fullScale === undefined ? Number.NaN : (value / fullScale) * 100;
    case "fahrenheit":
      return (value - 32) / 1.8;
    case "foot":
      return value * 0.3048;
    case "hour":
      return value * 60;
    default:
      return null;
  }
}

/** From what, and for which column of ours, a number is converted; `fullScale` is the count that stands for 100 %. */
export type Conversion = {
  readonly column: string;
  readonly unit: NumberUnit;
  readonly fullScale?: number | undefined;
};
