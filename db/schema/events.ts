import { integer, sqliteTable, text, uniqueIndex } from "drizzle-orm/sqlite-core";
import { detectors } from "@/db/schema/detectors";
import { conditions, faultCauses, verdicts } from "@/lib/records/vocabulary";

/** Panel events; instants in milliseconds UTC. */
export const events = sqliteTable(
  "events",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    detectorKey: integer("detector_key")
      .notNull()
      .references(() => detectors.key),
    beganAt: integer("began_at").notNull(),
    endedAt: integer("ended_at"),
    condition: text({ enum: conditions }).notNull(),
    cause: text({ enum: faultCauses }),
    verdict: text({ enum: verdicts }),
  },
  (table) => [uniqueIndex("events_natural_key").on(table.detectorKey, table.beganAt, table.condition)],
);
