import { blob, integer, primaryKey, real, sqliteTable } from "drizzle-orm/sqlite-core";
import { detectors } from "@/db/schema/detectors";
import { imports } from "@/db/schema/imports";

/** Readings of one detector in one quarter of a UTC year (`quarter` = 4 × year + 0..3); the codec alone reads `bytes`. */
export const readingChunks = sqliteTable(
  "reading_chunks",
  {
    detectorKey: integer("detector_key")
      .notNull()
      .references(() => detectors.key),
    quarter: integer().notNull(),
    count: integer().notNull(),
    firstAt: integer("first_at").notNull(),
    lastAt: integer("last_at").notNull(),
    minSignalPct: real("min_signal_pct").notNull(),
    maxSignalPct: real("max_signal_pct").notNull(),
    checksum: integer().notNull(),
    bytes: blob({ mode: "buffer" }).notNull(),
  },
  (table) => [primaryKey({ columns: [table.detectorKey, table.quarter] })],
);

/** Derived from the chunks, rewritten with them: the days and the latest reading of one detector. */
export const readingDays = sqliteTable("reading_days", {
  detectorKey: integer("detector_key")
    .primaryKey()
    .references(() => detectors.key),
  latestAt: integer("latest_at").notNull(),
  latestSignalPct: real("latest_signal_pct").notNull(),
  latestCompensationPct: real("latest_compensation_pct"),
  latestTemperatureC: real("latest_temperature_c"),
  checksum: integer().notNull(),
  bytes: blob({ mode: "buffer" }).notNull(),
});

/**
 * What one import said of one chunk; the order of the imports is the order in which they spoke.
 *
 * `agreed` holds the times at which it said what is stored, no bytes for all times of the chunk; `contested` the full readings at times where imports
 * disagree. Together they give back the chunk as it would be without any one import.
 */
export const readingClaims = sqliteTable(
  "reading_claims",
  {
    detectorKey: integer("detector_key")
      .notNull()
      .references(() => detectors.key),
    quarter: integer().notNull(),
    importId: integer("import_id")
      .notNull()
      .references(() => imports.id),
    agreed: blob({ mode: "buffer" }).notNull(),
    contested: blob({ mode: "buffer" }),
  },
  (table) => [primaryKey({ columns: [table.detectorKey, table.quarter, table.importId] })],
);
