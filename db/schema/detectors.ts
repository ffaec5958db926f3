import { index, integer, real, sqliteTable, text } from "drizzle-orm/sqlite-core";
import { sites } from "@/db/schema/sites";
import { accessKinds, forms } from "@/lib/records/vocabulary";

/** Detectors: one row a detector; `detectorId` is the user's, unique over all sites. */
export const detectors = sqliteTable(
  "detectors",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    detectorId: text("detector_id").notNull().unique(),
    siteKey: integer("site_key")
      .notNull()
      .references(() => sites.key),
    label: text().notNull(),
    form: text({ enum: forms }).notNull(),
    pathLengthM: real("path_length_m").notNull(),
    heightM: real("height_m").notNull(),
    bearingDeg: real("bearing_deg").notNull(),
    installedOn: text("installed_on").notNull(),
    alarmThresholdPct: real("alarm_threshold_pct").notNull(),
    access: text({ enum: accessKinds }).notNull(),
    zone: text(),
    environment: text(),
    lastServiceOn: text("last_service_on"),
  },
  (table) => [index("detectors_by_site").on(table.siteKey)],
);
