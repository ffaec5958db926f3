import { integer, real, sqliteTable, text } from "drizzle-orm/sqlite-core";

/** Sites: one row a site, as the product holds it; `siteId` is the user's. */
export const sites = sqliteTable("sites", {
  key: integer().primaryKey({ autoIncrement: true }),
  siteId: text("site_id").notNull().unique(),
  name: text().notNull(),
  latitude: real().notNull(),
  longitude: real().notNull(),
  timeZone: text("time_zone").notNull(),
  portfolio: text(),
  currency: text(),
  opens: text(),
  closes: text(),
  detectorsOnSystem: integer("detectors_on_system"),
});
