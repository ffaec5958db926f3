import { latestRun } from "@/db/queries/analysis-runs";
import { readSettings } from "@/db/queries/settings";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import type { SettingDefinition } from "@/lib/settings/definition";
import { rangeText, settingText, unitText } from "@/lib/settings/setting-text";
import { definitionOf, type SettingKey, settingKeys, settingsSchema } from "@/lib/settings/settings";
import { type Source, sources } from "@/lib/settings/sources";

/** A setting as a form shows it; texts are in the unit people type. */
export type SettingView = {
  readonly key: SettingKey;
  readonly label: string;
  readonly meaning: string;
  readonly unit: string;
  readonly text: string;
  readonly defaultText: string;
  readonly isDefault: boolean;
  readonly range: string;
  readonly source: Source;
};

/** Settings that belong together. */
export type SettingGroupView = {
  readonly group: SettingDefinition["group"];
  readonly settings: readonly SettingView[];
};

/** Every setting by group, which version they are, and whether the shown results were made with it. */
export type SettingsView = {
  readonly currency: string;
  /** 0 while none were saved. */
  readonly version: number;
  readonly savedAt: number | null;
  /** Version of the settings the last analysis was made with; null before the first analysis. */
  readonly analysedVersion: number | null;
  readonly groups: readonly SettingGroupView[];
};

/** The settings as saved last, the defaults where nothing was saved; groups without a setting are left out. */
export async function showSettings(context: Context): Promise<SettingsView> {
  requirePermission(context, "see");
  const saved = await readSettings(context.store);
  const settings = settingsSchema.parse(saved?.values ?? {});
  const run = await latestRun(context.store);
  const { currency } = settings;
  const views = settingKeys.map((key) => ({
    group: definitionOf(key).group,
    view: viewOf(key, { value: settings[key], currency }),
  }));
  return {
    currency,
    version: saved?.version ?? 0,
    savedAt: saved?.savedAt ?? null,
    analysedVersion: run?.settingsVersion ?? null,
    groups: groupOrder
      .map((group) => ({ group, settings: views.filter((one) => one.group === group).map((one) => one.view) }))
      .filter((one) => one.settings.length > 0),
  };
}

const groupOrder = ["costs", "limits", "effects", "analysis"] as const;

function viewOf(key: SettingKey, { value, currency }: { value: number; currency: string }): SettingView {
  const definition = definitionOf(key);
  return {
    key,
    label: definition.label,
    meaning: definition.meaning,
    unit: unitText(definition.unit, { currency }),
    text: settingText(definition, value, { currency }),
    defaultText: settingText(definition, definition.default, { currency }),
    isDefault: value === definition.default,
    range: rangeText(definition, { currency }),
    source: sources[definition.source],
  };
}
