import { desc } from "drizzle-orm";
import type { Store } from "@/db/client";
import { settings } from "@/db/schema/index";
import { inUnit } from "@/db/unit";

/** The settings saved last, with their version and the Instant of saving; null while none were saved. */
export async function readSettings(
  store: Store,
): Promise<{ version: number; savedAt: number; values: unknown } | null> {
  const saved = store.db.select().from(settings).orderBy(desc(settings.version)).limit(1).get();
  return saved ?? null;
}

/** Saves settings as a new version at the Instant `at`; returns the version. */
export async function saveSettingValues(
  store: Store,
  { values, at }: { values: unknown; at: number },
): Promise<number> {
  return inUnit(store, async (unit) => {
    return unit.db.insert(settings).values({ savedAt: at, values }).returning().get().version;
  });
}
