import type { SourceId } from "@/lib/settings/sources";

/** What a setting is measured in; `money` is minor units of the portfolio's currency. */
export type SettingUnit =
  | "money"
  | "minutes"
  | "hours"
  | "days"
  | "share"
  | "count"
  | "factor"
  | "dB"
  | "%"
  | "per 100 a year";

/** One adjustable number: what it means, its default and allowed range, and where the default comes from. */
export type SettingDefinition = {
  readonly group: "costs" | "limits" | "analysis" | "effects";
  readonly label: string;
  readonly meaning: string;
  readonly unit: SettingUnit;
  readonly default: number;
  readonly min: number;
  readonly max: number;
  readonly source: SourceId;
};
