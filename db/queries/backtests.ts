import { desc, notInArray } from "drizzle-orm";
import type { Store } from "@/db/client";
import { backtests } from "@/db/schema/index";
import { inUnit } from "@/db/unit";

/** A backtest as it is stored; `months` is how many origins it has, moments are Instants. */
export type StoredBacktest = typeof backtests.$inferSelect;

/** How many backtests are kept: the present one, and two to compare it with. */
const KEPT = 3;

/** Saves a backtest and drops all but the last three; returns its id. */
export async function saveBacktest(store: Store, backtest: Omit<StoredBacktest, "id">): Promise<number> {
  return inUnit(store, async (unit) => {
    const { id } = unit.db.insert(backtests).values(backtest).returning().get();
    const kept = unit.db.select({ id: backtests.id }).from(backtests).orderBy(desc(backtests.id)).limit(KEPT).all();
    unit.db
      .delete(backtests)
      .where(
        notInArray(
          backtests.id,
          kept.map((one) => one.id),
        ),
      )
      .run();
    return id;
  });
}

/** The backtest saved last; null before the first. */
export async function latestBacktest(store: Store): Promise<StoredBacktest | null> {
  return store.db.select().from(backtests).orderBy(desc(backtests.id)).limit(1).get() ?? null;
}
