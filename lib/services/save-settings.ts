import { readSettings, saveSettingValues } from "@/db/queries/settings";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { typedSetting } from "@/lib/settings/setting-text";
import { definitionOf, type Settings, settingKeys, settingsSchema } from "@/lib/settings/settings";

/** What saving came to; `problems` names the field and says what is wrong with it, and then nothing was saved. */
export type SettingsSaved =
  | { readonly outcome: "saved" | "unchanged"; readonly version: number }
  | { readonly outcome: "invalid"; readonly problems: Readonly<Record<string, string>> };

/**
 * Saves settings as typed, by key, as a new version; one wrong field and nothing is saved.
 *
 * A key left out keeps its value. Values equal to the saved ones make no new version.
 */
export async function saveSettings(
  context: Context,
  { values }: { values: Readonly<Record<string, string>> },
): Promise<SettingsSaved> {
  requirePermission(context, "change_settings");
  const saved = await readSettings(context.store);
  const before = settingsSchema.parse(saved?.values ?? {});
  const { problems, settings } = read(values, before);
  if (Object.keys(problems).length > 0) return { outcome: "invalid", problems };
  if (saved !== null && sameSettings(before, settings)) return { outcome: "unchanged", version: saved.version };
  const version = await saveSettingValues(context.store, { values: settings, at: context.now });
  return { outcome: "saved", version };
}

function read(values: Readonly<Record<string, string>>, before: Settings) {
  const problems: Record<string, string> = {};
  const typedCurrency = (values.currency ?? before.currency).trim().toUpperCase();
  const currency = settingsSchema.shape.currency.safeParse(typedCurrency);
  if (!currency.success) problems.currency = currency.error.issues[0]?.message ?? "is not a currency";
  const settings = { ...before, currency: currency.data ?? before.currency };
  for (const key of settingKeys) {
    const text = values[key];
    if (text === undefined) continue;
    const typed = typedSetting(definitionOf(key), text, { currency: settings.currency });
    if (typed.ok) settings[key] = typed.value;
    else problems[key] = typed.problem;
  }
  return { problems, settings };
}

function sameSettings(one: Settings, other: Settings): boolean {
  return one.currency === other.currency && settingKeys.every((key) => one[key] === other[key]);
}
