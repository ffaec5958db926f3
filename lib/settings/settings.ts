import { z } from "zod";
import { keysOf, mapRecord } from "@/lib/kernel/objects";
import { analysisSettings } from "@/lib/settings/analysis-settings";
import { costSettings } from "@/lib/settings/cost-settings";
import type { SettingDefinition } from "@/lib/settings/definition";
import { effectSettings } from "@/lib/settings/effect-settings";
import { limitSettings } from "@/lib/settings/limit-settings";

/** Every adjustable number of the product, by key. */
export const settingDefinitions = {
  ...costSettings,
  ...limitSettings,
  ...analysisSettings,
  ...effectSettings,
} as const;

/** Name of a setting. */
export type SettingKey = keyof typeof settingDefinitions;

/** Names of all settings, in the order in which they are shown. */
export const settingKeys: readonly SettingKey[] = keysOf(settingDefinitions);

/** The definition of a setting. */
export function definitionOf(key: SettingKey): SettingDefinition {
  return settingDefinitions[key];
}

/** Schema of stored or submitted settings: each value a number inside its range; keys left out take their default. */
export const settingsSchema = z.object({
  ...mapRecord(settingDefinitions, valueSchema),
  currency: z
    .string()
    .regex(/^[A-Z]{3}$/, "is not a currency; use three capital letters such as EUR")
    .default("EUR"),
});

/** The value of every setting, with the currency its money is in. */
export type Settings = Readonly<z.infer<typeof settingsSchema>>;

/** The settings of a new portfolio. */
export function defaultSettings(): Settings {
  return settingsSchema.parse({});
}

function valueSchema({ min, max, unit, default: value }: SettingDefinition) {
  const range = `must be between ${min} and ${max}${unit === "money" ? "" : ` (${unit})`}`;
  return z.number({ error: "is not a number" }).min(min, range).max(max, range).default(value);
}
