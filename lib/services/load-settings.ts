import type { Store } from "@/db/client";
import { readSettings } from "@/db/queries/settings";
import { AppError } from "@/lib/kernel/errors";
import { settingsWithCosts } from "@/lib/settings/cost-file";
import { type Settings, settingsSchema } from "@/lib/settings/settings";

/** A file of costs as the caller holds it: its name for messages, and its text. */
export type CostsText = { readonly name: string; readonly text: string };

/** The settings saved last with their version, the defaults and 0 where nothing was saved. */
export async function loadSettings(store: Store): Promise<{ version: number; settings: Settings }> {
  const saved = await readSettings(store);
  return { version: saved?.version ?? 0, settings: settingsSchema.parse(saved?.values ?? {}) };
}

/** Settings with the costs of a file in place of their own; throws `invalid_input` naming the key that is wrong. */
export function withCosts(settings: Settings, costs: CostsText | null): Settings {
  if (costs === null) return settings;
  const read = settingsWithCosts(settings, costs.text);
  if (!read.ok) throw new AppError("invalid_input", `costs file ${costs.name} ${read.problem}`);
  return read.settings;
}
