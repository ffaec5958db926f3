import { eq, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { counters } from "@/db/schema/index";

const NAME = "data_version";

/** Version of the data: 0 for an empty store, raised by every import and take-back that changes what is stored. */
export async function dataVersion(store: Store): Promise<number> {
  return store.db.select().from(counters).where(eq(counters.name, NAME)).get()?.value ?? 0;
}

/** Raises the data version by one; inside the unit that changes the data. */
export async function raiseDataVersion(unit: Store): Promise<void> {
  unit.db
    .insert(counters)
    .values({ name: NAME, value: 1 })
    .onConflictDoUpdate({ target: counters.name, set: { value: sql`${counters.value} + 1` } })
    .run();
}
