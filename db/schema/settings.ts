import { integer, sqliteTable, text } from "drizzle-orm/sqlite-core";

/** Saved settings; the highest version counts, older ones stay so that an old run can be explained. */
export const settings = sqliteTable("settings", {
  version: integer().primaryKey({ autoIncrement: true }),
  savedAt: integer("saved_at").notNull(),
  values: text({ mode: "json" }).$type<unknown>().notNull(),
});

/** Named counters; `data_version` is raised by every import and take-back that changes data. */
export const counters = sqliteTable("counters", {
  name: text().primaryKey(),
  value: integer().notNull(),
});
