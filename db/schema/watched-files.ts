import { integer, sqliteTable, text } from "drizzle-orm/sqlite-core";
import { imports } from "@/db/schema/imports";

/** Files of watched folders whose import is stored and that are not moved away yet; noted in the unit of the import. */
export const watchedFiles = sqliteTable("watched_files", {
  path: text().primaryKey(),
  bytes: integer().notNull(),
  changedAt: integer("changed_at").notNull(),
  importId: integer("import_id")
    .notNull()
    .references(() => imports.id),
});
