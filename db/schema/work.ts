import { integer, real, sqliteTable, text, uniqueIndex } from "drizzle-orm/sqlite-core";
import { detectors } from "@/db/schema/detectors";
import { taskResults, tasks } from "@/lib/records/vocabulary";

/** Work records; instants in milliseconds UTC. */
export const work = sqliteTable(
  "work",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    detectorKey: integer("detector_key")
      .notNull()
      .references(() => detectors.key),
    doneAt: integer("done_at").notNull(),
    task: text({ enum: tasks }).notNull(),
    result: text({ enum: taskResults }),
    signalBeforePct: real("signal_before_pct"),
    signalAfterPct: real("signal_after_pct"),
    durationMin: real("duration_min"),
    reactive: integer({ mode: "boolean" }),
    told: text(),
    interim: text(),
    note: text(),
  },
  (table) => [uniqueIndex("work_natural_key").on(table.detectorKey, table.doneAt, table.task)],
);
