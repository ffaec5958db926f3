import { index, integer, sqliteTable, text, uniqueIndex } from "drizzle-orm/sqlite-core";
import { imports } from "@/db/schema/imports";
import type { TableRow } from "@/lib/records/canonical-row";

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
    row: text({ mode: "json" }).$type<TableRow>().notNull(),
  },
  (table) => [
    uniqueIndex("row_claims_by_row").on(table.kind, table.rowKey, table.importId),
    index("row_claims_by_import").on(table.importId),
  ],
);
