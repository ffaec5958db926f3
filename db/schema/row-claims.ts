import { index, integer, sqliteTable, text, uniqueIndex } from "drizzle-orm/sqlite-core";
import { imports } from "@/db/schema/imports";
import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";

/** A row of one of the tables that hold one record a row. */
export type CanonicalRow =
  | { readonly kind: "sites"; readonly record: Site }
  | { readonly kind: "detectors"; readonly record: Detector }
  | { readonly kind: "events"; readonly record: Event }
  | { readonly kind: "work"; readonly record: Work };

/**
 * What one import said of one row, in the order of `key`: also where it only repeated or contradicted what was stored.
 *
 * Folded in order without one import, the claims give the row as it would be without that import.
 */
export const rowClaims = sqliteTable(
  "row_claims",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    importId: integer("import_id")
      .notNull()
      .references(() => imports.id),
    kind: text({ enum: ["sites", "detectors", "events", "work"] }).notNull(),
    rowKey: integer("row_key").notNull(),
    row: text({ mode: "json" }).$type<CanonicalRow>().notNull(),
  },
  (table) => [
    uniqueIndex("row_claims_by_row").on(table.kind, table.rowKey, table.importId),
    index("row_claims_by_import").on(table.importId),
  ],
);
