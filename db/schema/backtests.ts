import { integer, sqliteTable, text } from "drizzle-orm/sqlite-core";

/** Backtests: past rankings against what followed; everything a screen says of one stands in `result`. */
export const backtests = sqliteTable("backtests", {
  id: integer().primaryKey({ autoIncrement: true }),
  knownUntil: integer("known_until").notNull(),
  horizonDays: integer("horizon_days").notNull(),
  months: integer().notNull(),
  settingsVersion: integer("settings_version").notNull(),
  dataVersion: integer("data_version").notNull(),
  formatVersion: integer("format_version").notNull(),
  createdAt: integer("created_at").notNull(),
  result: text({ mode: "json" }).$type<unknown>().notNull(),
});
